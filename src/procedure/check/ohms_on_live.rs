//! A reading with the meter's own current on equipment that a source feeds.

use super::flow::flows;
use super::safety::{Test, dimension, function, test_of};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Step;
use crate::quantity::Dimension;

pub(super) const CHECK: Check =
    Check::new("ORD028", "ohms-on-live", include_str!("ohms_on_live.md")).of_procedure(run);

/// Words in the name of a function that puts a current of its own into the equipment.
const OWN_CURRENT: [&str; 5] = ["resistance", "ohm", "diode", "capacitance", "continuity"];

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let flows = flows(subject.procedure);
    let steps = flows.iter().flat_map(|flow| flow.steps.iter().map(move |step| (flow.stage, step)));
    let live = steps.filter(|(_, (step, energy))| energy.live && has_own_current(step));
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

fn has_own_current(step: &Step) -> bool {
    let dimension = dimension(step);
    let passive = [Dimension::RESISTANCE, Dimension::CAPACITANCE, Dimension::INDUCTANCE];
    let named =
        function(step).is_some_and(|name| OWN_CURRENT.iter().any(|word| name.contains(word)));
    dimension.is_some_and(|own| passive.contains(&own))
        || named
        || test_of(step) == Some(Test::Insulation)
}
