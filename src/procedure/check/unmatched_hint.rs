//! A hint that fits no reading outside the window, or fits good ones.

use super::trial::Trial;
use super::window_without_one_form::windows;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Kind;
use crate::procedure::{Expression, Hint};
use crate::window::Bounds;

pub(super) const CHECK: Check =
    Check::new("WIN021", "unmatched-hint", include_str!("unmatched_hint.md")).of_procedure(run);

/// Differences of sums worked out in two ways.
const ROUNDING: f64 = 1e-9;

/// The readings that a hint fits: all above the first and below the second.
#[derive(Clone, Copy)]
struct Fits(f64, f64);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (step, window) in windows(subject.procedure) {
        let Some(unit) = step.kind().and_then(Kind::unit) else { continue };
        let wrong = subject.trials().iter().find_map(|trial| {
            let bounds = trial.bounds(window, unit.dimension())?.reach();
            step.outside.iter().find_map(|hint| Some((hint, wrong(hint, &bounds, trial)?)))
        });
        findings.extend(wrong.map(|(hint, message)| finding(hint, message)));
    }
    findings
}

fn wrong(hint: &Hint, bounds: &Bounds, trial: &Trial) -> Option<&'static str> {
    let fits = fits(hint, trial)?;
    let rounding = |value: f64| if value.is_finite() { ROUNDING * value.abs() } else { 0.0 };
    if fits.0 >= fits.1 {
        return Some("no reading is above the one and below the other");
    }
    if bounds.record_only || hint.below.is_none() && hint.above.is_none() {
        return None;
    }
    let low = bounds.low.map_or(f64::NEG_INFINITY, |quantity| quantity.to_f64());
    let high = bounds.high.map_or(f64::INFINITY, |quantity| quantity.to_f64());
    // Over-range is above everything, and outside where the window does not take it.
    let ends_open = fits.1 == f64::INFINITY && high == f64::INFINITY && !bounds.open_ok;
    let (from, to) = (fits.0.max(low), fits.1.min(high));
    (from < to - rounding(to) && !ends_open)
        .then_some("the hint fits readings that the window takes for good")
}

fn fits(hint: &Hint, trial: &Trial) -> Option<Fits> {
    let end = |expression: &Option<Expression>, open: f64| match expression {
        Some(expression) => trial.value(expression).map(|value| value.to_f64()),
        None => Some(open),
    };
    Some(Fits(end(&hint.above, f64::NEG_INFINITY)?, end(&hint.below, f64::INFINITY)?))
}

fn finding(hint: &Hint, message: &str) -> Finding {
    let limit = hint.below.as_ref().or(hint.above.as_ref());
    CHECK
        .warning(message)
        .at(limit.map_or(hint.likely.span, |expression| expression.text.span))
        .help("give the hint the limit that the window has on that side")
}
