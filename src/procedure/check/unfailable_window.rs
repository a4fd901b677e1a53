//! A window so wide that nothing a meter could show is outside of it.

use super::trial::{Trial, in_every};
use super::window_without_one_form::windows;
use super::words::mentions;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::{Kind, Step};
use crate::procedure::{Acceptance, Expression};
use crate::quantity::Dimension;
use crate::record::Source;
use crate::window::Bounds;

pub(super) const CHECK: Check =
    Check::new("WIN024", "unfailable-window", include_str!("unfailable_window.md"))
        .of_procedure(run);

/// How many times the lower limit the upper one may be, where both are above zero: common practice, no source.
const SPAN_MAX: f64 = 1000.0;
/// How many times the expected value a single upper limit may be: common practice, no source.
const EXPECTED_MAX: f64 = 100.0;
/// What is never below zero.
const NEVER_BELOW: [Dimension; 4] =
    [Dimension::RESISTANCE, Dimension::CAPACITANCE, Dimension::INDUCTANCE, Dimension::FREQUENCY];

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let wide = windows(subject.procedure).filter(|(step, window)| {
        let Some(unit) = step.kind().and_then(Kind::unit) else { return false };
        // What is wide with the ends of a credible range alone is not wide with the fact.
        in_every(trials, |trial| {
            let bounds = trial.bounds(window, unit.dimension())?;
            Some(is_unfailable(window, &bounds))
        })
    });
    let wide = wide.map(|(step, window)| finding(step, window));
    let dead = subject.procedure.steps().filter(|(stage, _)| stage.source.value != Source::None);
    wide.chain(dead.filter_map(|(_, step)| dead_reading(step, trials))).collect()
}

/// Up to this size a voltage about zero is an offset or what is left of one (V): common practice, no source.
const OFFSET_MAX_V: f64 = 5.0;

/// A window with two ends for a voltage of live equipment that zero is inside of: a dead set and a broken lead pass.
fn dead_reading(step: &Step, trials: &[Trial]) -> Option<Finding> {
    let window = crate::procedure::safety::window(step)?;
    let voltage = crate::procedure::safety::dimension(step)? == Dimension::VOLTAGE;
    let two_ends = window.between.is_some() || window.at_least.is_some();
    // Across a series lamp nothing is best.
    let lamp =
        crate::procedure::safety::measured(step).is_some_and(|what| mentions(what, "lamp bulb"));
    let always = in_every(trials, |trial| {
        let bounds = trial.bounds(window, Dimension::VOLTAGE)?;
        let (low, high) = (bounds.low?.to_f64(), bounds.high?.to_f64());
        Some(low <= 0.0 && high >= 0.0 && high.max(-low) > OFFSET_MAX_V)
    });
    (voltage && two_ends && !lamp && always).then(|| {
        let place = window.between.iter().flatten().chain(&window.at_least).next();
        CHECK
            .warning(format!("a meter that shows nothing would pass at `{}`", step.step.value))
            .at(place.map_or(step.step.span, |limit| limit.text.span))
            .help("write both limits on the side of zero that the value lies on")
    })
}

fn is_unfailable(window: &Acceptance, bounds: &Bounds) -> bool {
    let Some(dimension) = bounds.low.or(bounds.high).map(|limit| limit.dimension) else {
        return false;
    };
    let low = bounds.low.map(|low| low.to_f64());
    let high = bounds.high.map(|high| high.to_f64());
    let expected = bounds.expected.map(|expected| expected.to_f64().abs());
    match (low, high) {
        (Some(low), Some(high)) if is_centred(window) => takes_in_nothing(low, high),
        (Some(low), Some(high)) => low > 0.0 && high > low * SPAN_MAX,
        (None, Some(high)) => expected.is_some_and(|due| due > 0.0 && high > due * EXPECTED_MAX),
        // Below zero has its own finding.
        (Some(low), None) => low == 0.0 && NEVER_BELOW.contains(&dimension),
        (None, None) => false,
    }
}

/// Around a centre that is not zero, zero itself is inside: a meter that reads nothing passes.
fn takes_in_nothing(low: f64, high: f64) -> bool {
    low <= 0.0 && high >= 0.0 && low + high != 0.0
}

/// Whether the window lies around a value. A width without its `%` has its own finding.
fn is_centred(window: &Acceptance) -> bool {
    let near = window.near.is_some() || window.like.is_some();
    let plain = |within: &Expression| within.text.trim().parse::<f64>().is_ok();
    near && !window.within.as_ref().is_some_and(plain)
}

fn finding(step: &Step, window: &Acceptance) -> Finding {
    let ends = window.between.iter().flatten();
    let limits = [&window.at_most, &window.at_least, &window.within];
    let place = limits.into_iter().flatten().chain(ends).next();
    let place = place.map_or(step.step.span, |limit| limit.text.span);
    CHECK
        .error(format!("hardly any reading of `{}` could be outside", step.step.value))
        .at(place)
        .help("write the limits that sound equipment keeps, or `record_only: true`")
}
