//! `steady` that asks for nothing, or for half of something.

use super::{Check, Subject};
use crate::diagnostic::{Finding, Span};
use crate::procedure::step::SteadyText;

pub(super) const CHECK: Check =
    Check::new("WIN012", "steady-without-limit", include_str!("steady_without_limit.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let watches = subject
        .procedure
        .steps()
        .filter_map(|(_, step)| finding(step.watch.as_ref()?.steady.as_ref()?, step.step.span));
    watches.collect()
}

fn finding(steady: &SteadyText, step: Span) -> Option<Finding> {
    let (message, at) = match (&steady.drift_per_minute, &steady.within, &steady.over) {
        (None, None, None) => ("`steady` has no limit", step),
        (_, Some(within), None) => ("`within` needs `over`", within.text.span),
        (_, None, Some(over)) => ("`over` needs `within`", over.text.span),
        _ => return None,
    };
    let help = "write `drift_per_minute`, or `within` with `over`, or all three";
    Some(CHECK.error(message).at(at).help(help))
}
