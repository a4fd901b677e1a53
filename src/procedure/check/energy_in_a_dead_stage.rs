//! A stage without a source that all the same has a ceiling or switches something on.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::Stage;
use crate::procedure::flow::energises;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD002", "energy-in-a-dead-stage", include_str!("energy_in_a_dead_stage.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = subject.procedure.stages.iter();
    stages.filter(|stage| stage.source.value == Source::None).flat_map(findings).collect()
}

fn findings(stage: &Stage) -> impl Iterator<Item = Finding> {
    let ceiling = stage.ceiling.as_ref().map(|ceiling| {
        CHECK
            .error(format!("the stage `{}` has a ceiling and no source", stage.stage.value))
            .at(ceiling.voltage.text.span)
            .related(stage.source.span, "no source")
            .help("name the source, or take the ceiling out")
    });
    let sets = stage.steps.iter().filter(|step| energises(step)).map(|step| {
        CHECK
            .error(format!("`{}` brings a source up in a stage that has none", step.step.value))
            .at(step.step.span)
            .related(stage.source.span, "no source")
            .help("move the step into a stage with that source and a ceiling")
    });
    ceiling.into_iter().chain(sets)
}
