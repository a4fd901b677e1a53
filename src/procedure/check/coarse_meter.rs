//! A window that is too narrow for the meter to decide.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Acceptance, At, Meter, Step};
use crate::quantity::{Dimension, Quantity};
use crate::window::{Conditions, Uncertainty};

pub(super) const CHECK: Check =
    Check::new("WIN006", "coarse-meter", include_str!("coarse_meter.md")).of_procedure(run);

/// The least width of a window over twice U, and of an only limit over U. A ratio of 4 to 1 is common practice, no source.
const RATIO_MIN: f64 = 4.0;
/// The fewest counts of the display in an only limit. A resolution of a tenth is common practice, no source.
const COUNTS_MIN: f64 = 10.0 * (1.0 - 1e-9);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let Some(bench) = subject.bench else { return Vec::new() };
    let steps = subject.procedure.steps().filter_map(|(_, step)| Some((step, function(step)?)));
    let steps = steps.filter_map(|(step, (function, window))| {
        let meter = bench.meter(function)?;
        let told = subject.trials().iter().filter_map(|trial| {
            let conditions = bench.conditions(loaded(step, trial)?);
            Discrimination::of(window, &meter, &conditions, trial)
        });
        told.flat_map(|discrimination| discrimination.coarse())
            .next()
            .map(|how| finding(function, &meter, &how))
    });
    steps.collect()
}

/// The meter's function of a step with a window.
pub(super) fn function(step: &Step) -> Option<(&At<String>, &Acceptance)> {
    let read = step
        .read
        .as_ref()
        .and_then(|reading| reading.function.as_ref().zip(reading.window.as_ref()));
    let watch =
        || step.watch.as_ref().and_then(|watch| watch.function.as_ref().zip(watch.window.as_ref()));
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

/// How well a meter tells whether a reading is inside a window, as a plan has it.
enum Discrimination {
    /// The width of a window with two limits over twice the uncertainty in it.
    Between(f64),
    /// The size of an only limit over the uncertainty there, and over one count of the display.
    OneLimit(f64, f64),
}

impl Discrimination {
    fn of(
        window: &Acceptance,
        meter: &Meter<'_>,
        conditions: &Conditions,
        trial: &Trial,
    ) -> Option<Self> {
        let bounds = window.bounds(&|name: &str| trial.named(name)).ok()?;
        let one =
            (bounds.low.is_none() || bounds.high.is_none()).then(|| bounds.low.or(bounds.high));
        let at = one.unwrap_or_else(|| bounds.looked_up_at())?;
        let (range, estimate) = meter.on_range(at, "expected", conditions)?;
        let uncertainty = Uncertainty::of(&estimate?, Uncertainty::LEVEL)?;
        if one.is_none() {
            return bounds.ratio(&uncertainty).map(Self::Between);
        }
        let over = |doubt: f64| at.to_f64().abs() / doubt;
        let (expanded, count) = (uncertainty.expanded.to_f64(), range.count.to_f64());
        // A point on the Celsius scale has no size, and zero is told from something by its sign.
        let is_size = at.dimension != Dimension::CELSIUS && at.to_f64() != 0.0;
        (is_size && expanded > 0.0 && count > 0.0)
            .then(|| Self::OneLimit(over(expanded), over(count)))
    }

    /// What makes the meter too coarse, if it is.
    fn coarse(&self) -> Option<String> {
        match *self {
            Self::Between(ratio) => (ratio < RATIO_MIN)
                .then(|| format!("the window is {ratio:.1} times as wide as twice U of")),
            Self::OneLimit(ratio, _) if ratio < RATIO_MIN => {
                Some(format!("the limit is {ratio:.1} times U of"))
            }
            Self::OneLimit(_, counts) => {
                (counts < COUNTS_MIN).then(|| format!("the limit is only {counts:.1} counts of"))
            }
        }
    }
}

fn finding(function: &At<String>, meter: &Meter<'_>, how: &str) -> Finding {
    let found = CHECK.warning("the window is too narrow for this meter to decide");
    found
        .at(function.span)
        .label(format!("{how} {}", *meter.instrument.what))
        .help("widen the window, name a better meter, or take another way to the value")
}
