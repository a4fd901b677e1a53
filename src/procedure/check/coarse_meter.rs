//! A window that is too narrow for the meter to decide.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Acceptance, At, Meter, Step};
use crate::quantity::Quantity;
use crate::window::{Conditions, Uncertainty};

pub(super) const CHECK: Check =
    Check::new("WIN006", "coarse-meter", include_str!("coarse_meter.md")).of_procedure(run);

/// The least width of a window over twice U. A ratio of 4 to 1 is common practice, no source.
const RATIO_MIN: f64 = 4.0;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let Some(bench) = subject.bench else { return Vec::new() };
    let steps = subject.procedure.steps().filter_map(|(_, step)| Some((step, function(step)?)));
    let steps = steps.filter_map(|(step, (function, window))| {
        let meter = bench.meter(function)?;
        let ratios = subject.trials().iter().filter_map(|trial| {
            let conditions = bench.conditions(loaded(step, trial)?);
            ratio(window, &meter, &conditions, trial)
        });
        let worst = ratios.min_by(f64::total_cmp).filter(|ratio| *ratio < RATIO_MIN)?;
        Some(finding(function, &meter, worst))
    });
    steps.collect()
}

/// The meter's function of a step with a window.
pub(super) fn function(step: &Step) -> Option<(&At<String>, &Acceptance)> {
    let read = step.read.as_ref().and_then(|own| own.function.as_ref().zip(own.window.as_ref()));
    let watch =
        || step.watch.as_ref().and_then(|own| own.function.as_ref().zip(own.window.as_ref()));
    read.or_else(watch)
}

/// The resistance that the meter loads, if one is written; nothing where it can't be worked out yet.
#[expect(clippy::option_option, reason = "not written and not known are different")]
fn loaded(step: &Step, trial: &Trial) -> Option<Option<Quantity>> {
    match step.read.as_ref().and_then(|read| read.source_resistance.as_ref()) {
        Some(resistance) => trial.value(resistance).map(Some),
        None => Some(None),
    }
}

/// The width of the window over twice the uncertainty of a reading in it, as a plan has it.
fn ratio(
    window: &Acceptance,
    meter: &Meter<'_>,
    conditions: &Conditions,
    trial: &Trial,
) -> Option<f64> {
    let bounds = window.bounds(&|name: &str| trial.named(name)).ok()?;
    let (_, estimate) = meter.on_range(bounds.looked_up_at()?, "expected", conditions)?;
    bounds.ratio(&Uncertainty::of(&estimate?, Uncertainty::LEVEL)?)
}

fn finding(function: &At<String>, meter: &Meter<'_>, ratio: f64) -> Finding {
    let found = CHECK.warning("the window is too narrow for this meter to decide");
    found
        .at(function.span)
        .label(format!(
            "the window is {ratio:.1} times as wide as twice U of {}",
            *meter.instrument.what
        ))
        .help("widen the window, name a better meter, or take another way to the value")
}
