//! A reading with the meter's own current on equipment that a source feeds.

use super::passive_test::{has_own_current, is_of_resistance, is_passive_test};
use super::words::told;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::flow::flows;
use crate::procedure::safety::{Test, dimension, function, test_of};
use crate::procedure::step::Step;
use crate::quantity::Dimension;

pub(super) const CHECK: Check =
    Check::new("ORD028", "ohms-on-live", include_str!("ohms_on_live.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let flows = flows(subject.procedure);
    let steps = flows.iter().flat_map(|flow| flow.steps.iter().map(move |step| (flow.stage, step)));
    let live = steps.filter(|(_, (step, energy))| energy.live && is_passive(step));
    let findings = live.map(|(stage, (step, _))| {
        let source = stage.source.words();
        CHECK
            .error(format!("`{}` is measured while the {source} is on", step.step.value))
            .at(step.step.span)
            .related(stage.source.span, "the source")
            .help("measure it dead: move the step into a stage with `source: none`, after a proof")
    });
    findings.collect()
}

/// Whether the step puts a current of its own into the equipment, by its unit, its function or its words.
fn is_passive(step: &Step) -> bool {
    let passive = [Dimension::RESISTANCE, Dimension::CAPACITANCE, Dimension::INDUCTANCE];
    let worded = told(step)
        .is_some_and(|text| is_passive_test(text) || step.r#do.is_none() && is_of_resistance(text));
    worded
        || dimension(step).is_some_and(|dimension| passive.contains(&dimension))
        || function(step).is_some_and(has_own_current)
        || test_of(step) == Some(Test::Insulation)
}
