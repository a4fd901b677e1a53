//! A typed value that is likelier a slip of the fingers than the truth: asked for once more, both entries kept.
//!
//! Always true: live, a value that would be dangerous if it were true is never asked for again. It stops the run, outputs off first.

use super::answer::Target;
use super::era::Era;
use super::machine::Runner;
use crate::quantity::{Dimension, Quantity, Reading, Unit, is_digit_slip, is_point_slip};
use crate::record::{Energy, Source};
use crate::window::{Bounds, Verdict};

/// How far above the ceiling of its source a meter may still show a value: the accuracy of both, and more.
const ABOVE_CEILING: f64 = 1.25;

/// Up to how many times its limit a value is out by little.
const LITTLE: f64 = 1.2;

/// From how many times its limit on a value is far out of a window in which zero lies.
const FAR: f64 = 2.0;

impl Runner {
    /// Whether an outside value is doubted, for the first time.
    pub(super) fn is_doubted(
        &mut self,
        target: &Target,
        text: &str,
        reading: &Reading,
        bounds: &Bounds,
        unit: &Unit,
    ) -> bool {
        let Reading::Number(value) = reading else { return false };
        if self.era < Era::ProofsStand || !bounds.judge(reading).is_outside() {
            return false;
        }
        let can_not_be = self.is_beyond_source(value);
        let may_harm = self.power.is_live() && is_larger_than(bounds, value) && !can_not_be;
        let is_slip = || is_slip(text, value, bounds, unit);
        !may_harm && (can_not_be || is_slip()) && self.results.doubt(&target.key)
    }

    /// Whether the bench supply that feeds the equipment can't deliver this. Behind a transformer anything may stand.
    fn is_beyond_source(&self, value: &Quantity) -> bool {
        let Energy::Energised { source: Source::BenchSupply, ceiling: Some(ceiling) } =
            self.power.state()
        else {
            return false;
        };
        let most = match value.dimension {
            Dimension::VOLTAGE => ceiling.voltage,
            Dimension::CURRENT => ceiling.current,
            _ => return false,
        };
        value.to_f64().abs() > ABOVE_CEILING * most.to_f64().abs()
    }
}

/// Whether one slip of the fingers would bring the value inside. One that is out by little is taken for what it is.
fn is_slip(text: &str, value: &Quantity, bounds: &Bounds, unit: &Unit) -> bool {
    let is_in = |other: &Quantity| bounds.judge(&Reading::Number(*other)) == Verdict::Inside;
    if !excludes_zero(bounds) {
        return is_out_by(FAR, bounds, value) && is_point_slip(value, is_in);
    }
    let read = |text: &str| match Reading::parse(text, unit) {
        Ok(Reading::Number(other)) => Some(other),
        Ok(Reading::OverRange | Reading::NotANumber) | Err(_) => None,
    };
    let negated = Quantity::new(value.value.neg(), value.dimension);
    is_in(&negated) || is_out_by(LITTLE, bounds, value) && is_digit_slip(text, read, is_in)
}

/// Whether a window has two ends on the same side of zero. In any other nearly every small value is inside, so that a slip explains
/// little.
fn excludes_zero(bounds: &Bounds) -> bool {
    let ends = bounds.low.as_ref().zip(bounds.high.as_ref());
    ends.is_some_and(|(low, high)| low.to_f64() > 0.0 || high.to_f64() < 0.0)
}

/// Whether a value is so many times its limits, or so small a part of them.
fn is_out_by(times: f64, bounds: &Bounds, value: &Quantity) -> bool {
    let size = value.to_f64().abs();
    let mut limits = [bounds.low.as_ref(), bounds.high.as_ref()].into_iter().flatten();
    limits.all(|limit| {
        let limit = limit.to_f64().abs();
        size >= times * limit || times * size <= limit
    })
}

/// Whether a value is larger, of either sign, than all that is inside.
fn is_larger_than(bounds: &Bounds, value: &Quantity) -> bool {
    let size = |limit: &Quantity| limit.to_f64().abs();
    let limits = [bounds.low.as_ref(), bounds.high.as_ref()];
    limits.into_iter().flatten().all(|limit| size(value) > size(limit))
}
