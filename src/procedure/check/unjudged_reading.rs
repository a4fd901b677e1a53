//! A reading that is written down and that nothing judges.

use super::used::used;
use super::words::mentions;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Kind;
use crate::procedure::{Stage, Step};
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("WIN022", "unjudged-reading", include_str!("unjudged_reading.md")).of_procedure(run);

/// What a life hangs on.
const SAFETY: &str = "earth insulation leak leakage protective touch";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let used = used(subject);
    let steps = subject.procedure.steps().filter(|(_, step)| is_only_recorded(step));
    steps
        .filter_map(|(stage, step)| finding(stage, step, used.contains(&step.formula_name())))
        .collect()
}

fn is_only_recorded(step: &Step) -> bool {
    step.kind().and_then(Kind::window).is_some_and(|window| window.is_record_only())
}

fn finding(stage: &Stage, step: &Step, is_used: bool) -> Option<Finding> {
    let what = super::words::told(step)?;
    let function = step.read.as_ref().and_then(|read| read.function.as_ref());
    let is_safety =
        mentions(what, SAFETY) || function.is_some_and(|function| mentions(function, SAFETY));
    let found = if is_safety {
        CHECK.error("a reading that a life hangs on is recorded and not judged")
    } else if stage.source.value != Source::None && !is_used && step.as_found.is_none() {
        CHECK.warning("nothing judges this reading of a live stage, and no later step uses it")
    } else {
        return None;
    };
    Some(found.at(step.step.span).help("give it a window, or a later step that judges it"))
}
