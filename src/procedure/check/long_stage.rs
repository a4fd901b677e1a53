//! A stage with more steps than a person keeps track of.

use super::{Check, Subject};
use crate::diagnostic::Finding;

pub(super) const CHECK: Check =
    Check::new("ORD011", "long-stage", include_str!("long_stage.md")).of_procedure(run);

/// The most steps in a stage.
const STEPS_MAX: usize = 15;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = subject.procedure.stages.iter();
    stages
        .filter(|stage| stage.steps.len() > STEPS_MAX)
        .map(|stage| {
            let (name, steps) = (&stage.stage.value, stage.steps.len());
            CHECK
                .warning(format!("the stage `{name}` has {steps} steps; {STEPS_MAX} are enough"))
                .at(stage.stage.span)
                .help("cut it in two where the work itself has a break")
        })
        .collect()
}
