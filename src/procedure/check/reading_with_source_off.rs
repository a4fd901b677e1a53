//! A reading of an energised stage that is taken before its source is on, or after it is off.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::flow::{Flow, energises, flows};
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD019", "reading-with-source-off", include_str!("reading_with_source_off.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let flows = flows(subject.procedure);
    let energised = flows.iter().filter(|flow| comes_on(flow));
    let off = energised.flat_map(|flow| {
        let readings = flow
            .steps
            .iter()
            .filter(|(step, energy)| !energy.live && (step.read.is_some() || step.watch.is_some()));
        readings.map(|(step, _)| {
            let source = flow.stage.source.words();
            CHECK
                .error(format!("`{}` is read while the {source} is off", step.step.value))
                .at(step.step.span)
                .related(flow.stage.source.span, "what the stage is judged on")
                .help("read it while the source is on, or in a stage with `source: none`")
        })
    });
    off.collect()
}

/// A stage that nothing switches on has its own finding.
fn comes_on(flow: &Flow<'_>) -> bool {
    let on = flow.start.live || flow.steps.iter().any(|(step, _)| energises(step));
    flow.stage.source.value != Source::None && on
}
