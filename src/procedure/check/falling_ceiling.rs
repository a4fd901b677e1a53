//! A ceiling below the one of the stage before, on the same source.

use super::trial::{Trial, power};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::Stage;

pub(super) const CHECK: Check =
    Check::new("ORD003", "falling-ceiling", include_str!("falling_ceiling.md")).of_procedure(run);

/// Less than this part of the rung below is a fall; rounding in a formula is not.
const FALL: f64 = 0.999;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let stages = &subject.procedure.stages;
    let neighbours = stages.iter().zip(stages.iter().skip(1));
    neighbours
        .filter(|(below, stage)| below.source.value == stage.source.value)
        .filter_map(|(below, stage)| trials.iter().find_map(|trial| fall(below, stage, trial)))
        .collect()
}

fn fall(below: &Stage, stage: &Stage, trial: &Trial) -> Option<Finding> {
    let (earlier, later) = (below.ceiling.as_ref()?, stage.ceiling.as_ref()?);
    let (before, now) = (trial.watts(earlier)?, trial.watts(later)?);
    (now < before * FALL).then(|| {
        CHECK
            .error(format!("the ceiling falls from {} to {}", power(before), power(now)))
            .at(later.voltage.text.span)
            .related(earlier.voltage.text.span, "the stage before")
            .help("put the stage with the lower ceiling first")
    })
}
