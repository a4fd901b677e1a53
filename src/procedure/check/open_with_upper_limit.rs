//! Over-range taken for good where there is an upper limit.

use super::window_without_one_form::windows;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Acceptance, Step};

pub(super) const CHECK: Check =
    Check::new("WIN013", "open-with-upper-limit", include_str!("open_with_upper_limit.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    windows(subject.procedure).filter_map(|(step, window)| finding(step, window)).collect()
}

fn finding(step: &Step, window: &Acceptance) -> Option<Finding> {
    // Measured in circuit it has its own finding.
    if step.read.as_ref().is_some_and(|read| read.is_in_circuit()) {
        return None;
    }
    let around = window.near.as_ref().or(window.like.as_ref());
    let between = window.between.iter().flatten().last();
    let limit = window.at_most.as_ref().or(around).or(between);
    let limit = limit.filter(|_| window.open_ok)?;
    Some(
        CHECK
            .error("over-range is more than any upper limit, and this window has one")
            .at(limit.text.span)
            .related(step.step.span, "the step")
            .help("leave `open_ok` out, or the upper limit"),
    )
}
