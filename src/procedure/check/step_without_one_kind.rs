//! A step with no kind, or with several.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::Step;

pub(super) const CHECK: Check =
    Check::new("YML007", "step-without-one-kind", include_str!("step_without_one_kind.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    subject.procedure.steps().filter_map(|(_, step)| finding(step)).collect()
}

fn finding(step: &Step) -> Option<Finding> {
    let kinds: Vec<_> = step.kinds().iter().map(|kind| format!("`{}`", kind.name())).collect();
    let found = match kinds.as_slice() {
        [_] => return None,
        [] => CHECK
            .error(format!("the step `{}` says nothing to do", step.step.value))
            .help("give it one of the kinds, as in `do: Pull the mains plug`"),
        _ => CHECK
            .error(format!(
                "the step `{}` is of several kinds: {}",
                step.step.value,
                kinds.join(", ")
            ))
            .help("make a step of each"),
    };
    Some(found.at(step.step.span))
}
