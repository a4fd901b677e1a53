//! A window so wide that it judges nothing.

use super::trial::Trial;
use super::window_without_one_form::windows;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Kind;
use crate::procedure::{Acceptance, Expression};
use crate::quantity::{Dimension, Quantity};

pub(super) const CHECK: Check =
    Check::new("WIN020", "wide-window", include_str!("wide_window.md")).of_procedure(run);

/// The widest `within`, in parts of the value aimed at.
const WITHIN_MAX: f64 = 0.5;
/// The widest `within` of a `set`: what a supply shows against what it was told.
const SET_WITHIN_MAX: f64 = 0.2;
/// The most that the high limit may be over the low one.
const SPREAD_MAX: f64 = 500.0;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let around = windows(subject.procedure).filter_map(|(_, window)| {
        let centre = window.near.as_ref().or(window.like.as_ref())?;
        Some((window.within.as_ref()?, Some(centre), WITHIN_MAX))
    });
    let steps = || subject.procedure.steps().map(|(_, step)| step);
    let compared = steps().filter_map(|step| step.compare.as_ref());
    let compared = compared.map(|compare| (&compare.within, Some(&compare.with), WITHIN_MAX));
    let set = steps().filter_map(|step| step.set.as_ref());
    let set = set.filter_map(|set| Some((set.within.as_ref()?, set.to.as_ref(), SET_WITHIN_MAX)));
    let agreed = steps().filter_map(|step| Some((step.agree_within.as_ref()?, None, WITHIN_MAX)));
    let widths =
        around.chain(compared).chain(set).chain(agreed).filter_map(|(within, centre, most)| {
            let part = trials
                .iter()
                .filter_map(|trial| part(within, centre, trial))
                .max_by(f64::total_cmp)?;
            (part > most * (1.0 + 1e-9))
                .then(|| finding(within, &format!("{:.0} % to either side", 100.0 * part)))
        });
    let spreads = windows(subject.procedure).filter_map(|(step, window)| {
        let dimension = step.kind().and_then(Kind::unit)?.dimension();
        // What is wide at one end of the credible facts alone follows from a fact.
        let spreads = trials.iter().map(|trial| spread(window, dimension, trial));
        spreads.collect::<Option<Vec<_>>>()?.into_iter().next()
    });
    widths.chain(spreads).collect()
}

/// The width in parts of the value aimed at.
fn part(within: &Expression, centre: Option<&Expression>, trial: &Trial) -> Option<f64> {
    let width = trial.value(within)?;
    let centre = centre.and_then(|expression| trial.value(expression));
    // A bare number where a percentage is meant has a finding of its own.
    let is_ratio = width.dimension == Dimension::NONE && within.text.trim_end().ends_with('%');
    if is_ratio {
        return Some(width.to_f64());
    }
    let centre = centre.filter(|centre| centre.dimension == width.dimension)?.to_f64().abs();
    (centre > 0.0).then(|| width.to_f64() / centre)
}

/// What is wrong with limits that lie further apart than one value can.
fn spread(window: &Acceptance, dimension: Dimension, trial: &Trial) -> Option<Finding> {
    let bounds = trial.bounds(window, dimension)?;
    let size = |quantity: Quantity| quantity.to_f64();
    let (low, high) = (size(bounds.low?), size(bounds.high?));
    let over = if low > 0.0 {
        high / low
    } else if high < 0.0 {
        low / high
    } else {
        return None;
    };
    let place = window.between.iter().flatten().next().or(window.at_most.as_ref())?;
    (over > SPREAD_MAX)
        .then(|| finding(place, &format!("the high limit is {over:.0} times the low one")))
}

fn finding(at: &Expression, how: &str) -> Finding {
    CHECK
        .warning("the window is too wide to judge anything")
        .at(at.text.span)
        .label(how.to_owned())
        .help("write limits that a faulty set would miss; an expected value goes into `expected`")
}
