//! A ceiling below the one of the stage before, on the same source.

use super::trial::{Trial, power};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::Stage;
use crate::record::Source;

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
        .chain(late_lamp(stages))
        .collect()
}

/// A series lamp that comes only once the direct mains was on, or that nothing on the direct mains follows any more.
fn late_lamp(stages: &[Stage]) -> Option<Finding> {
    let on = |source: Source| move |stage: &Stage| stage.source.value == source;
    let direct = stages.iter().position(on(Source::Mains))?;
    let (before, after) = stages.split_at_checked(direct)?;
    let gentle = |stage: &Stage| {
        matches!(stage.source.value, Source::MainsThroughLamp | Source::MainsVariable)
    };
    let last = stages.iter().rposition(on(Source::Mains))?;
    let first_late = after.iter().find(|stage| on(Source::MainsThroughLamp)(stage));
    let none_before = first_late.filter(|_| !before.iter().any(gentle));
    let none_after = || stages.iter().skip(last).find(|stage| on(Source::MainsThroughLamp)(stage));
    let late = none_before.or_else(none_after)?;
    Some(
        CHECK
            .error("the series lamp comes after the direct mains, where it protects nothing")
            .at(late.source.span)
            .help("put the stage behind the lamp before the one on the direct mains"),
    )
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
