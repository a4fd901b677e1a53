//! A window with no limit, with several, or with half of one.

use super::{Check, Subject};
use crate::diagnostic::{Finding, Span};
use crate::procedure::{Acceptance, Expression, Procedure, Step};

pub(super) const CHECK: Check =
    Check::new("WIN003", "window-without-one-form", include_str!("window_without_one_form.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let windows = windows(subject.procedure);
    let windows = windows.filter_map(|(step, window)| finding(window, step.step.span));
    windows.chain(ranges(subject.procedure).filter_map(|(ends, at)| not_two(ends, at))).collect()
}

/// The windows of all steps.
pub(super) fn windows(procedure: &Procedure) -> impl Iterator<Item = (&Step, &Acceptance)> {
    procedure.steps().filter_map(|(_, step)| {
        let read = step.read.as_ref().and_then(|read| read.window.as_ref());
        let watch = step.watch.as_ref().and_then(|watch| watch.window.as_ref());
        let work_out = step.work_out.as_ref().and_then(|work_out| work_out.window.as_ref());
        Some((step, read.or(watch).or(work_out)?))
    })
}

/// The ranges that stand outside the steps.
fn ranges(procedure: &Procedure) -> impl Iterator<Item = (&[Expression], Span)> {
    let asked =
        procedure.asks.iter().filter_map(|(name, ask)| Some((ask.between.as_deref()?, name.span)));
    let known = &procedure.known_source;
    asked.chain([(known.between.as_slice(), known.what.span)])
}

/// Whether the window is whole, so that its limits can be worked out.
pub(super) fn has_one_form(window: &Acceptance) -> bool {
    finding(window, Span::new(0, 0)).is_none()
}

fn finding(window: &Acceptance, step: Span) -> Option<Finding> {
    let place = first_place(window).unwrap_or(step);
    let around = window.near.as_ref().or(window.like.as_ref());
    let message = match window.forms().as_slice() {
        [] => "the window has no limit".to_owned(),
        ["at_most", "at_least"]
        | ["at_most" | "at_least" | "between" | "near" | "like" | "record_only"] => {
            if around.is_some() && window.within.is_none() {
                "`near` and `like` need `within`".to_owned()
            } else if around.is_none() && window.within.is_some() {
                "`within` needs `near` or `like`".to_owned()
            } else {
                return not_two(window.between.as_deref()?, place);
            }
        }
        forms => format!("the window has more than one form: {}", forms.join(", ")),
    };
    let help = "write one of: at_most, at_least, both of them, between, near or like with within, record_only";
    Some(CHECK.error(message).at(place).help(help))
}

fn not_two(ends: &[Expression], at: Span) -> Option<Finding> {
    (ends.len() != 2).then(|| {
        CHECK
            .error(format!("`between` has two ends, and here are {}", ends.len()))
            .at(ends.first().map_or(at, |end| end.text.span))
            .help("write it like [1 V, 2 V]")
    })
}

/// Where the window stands: its first expression.
fn first_place(window: &Acceptance) -> Option<Span> {
    let limits = [&window.at_most, &window.at_least, &window.near, &window.like, &window.within];
    let ends = window.between.iter().flatten();
    limits
        .into_iter()
        .flatten()
        .chain(ends)
        .map(|limit| limit.text.span)
        .min_by_key(|span| span.start)
}
