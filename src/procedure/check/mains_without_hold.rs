//! The first mains without a second person who lets it come on.

use super::words::says_something;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::flow::energises;
use crate::procedure::{Stage, Step};

pub(super) const CHECK: Check =
    Check::new("ORD031", "mains-without-hold", include_str!("mains_without_hold.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = &subject.procedure.stages;
    let first = stages.iter().position(|stage| stage.source.is_mains());
    let mains = first.and_then(|first| stages.get(first));
    let before = first.and_then(|first| first.checked_sub(1)).and_then(|n| stages.get(n));
    let held = before.is_some_and(ends_held);
    let finding = mains.filter(|mains| !held && !begins_held(mains)).map(|mains| {
        CHECK
            .warning("the mains comes on for the first time, and no second person lets it")
            .at(mains.source.span)
            .help("give the stage a `hold`: who releases it sees the readings so far")
    });
    finding.into_iter().collect()
}

fn begins_held(stage: &Stage) -> bool {
    let mut dead = stage.steps.iter().take_while(|step| !energises(step));
    stage.hold.as_ref().is_some_and(|hold| says_something(&hold.ask)) || dead.any(holds)
}

/// Whether a second person is asked anything: to "ok" alone is nothing to look at.
fn holds(step: &Step) -> bool {
    step.hold.as_ref().is_some_and(|hold| says_something(&hold.ask))
}

fn ends_held(stage: &Stage) -> bool {
    stage.steps.last().is_some_and(holds)
}
