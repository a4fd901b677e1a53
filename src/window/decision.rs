//! Deciding with a meter that is not perfect.

use serde::{Deserialize, Deserializer, Serialize};

use super::bounds::Bounds;
use super::credible;
use super::uncertainty::Uncertainty;
use super::verdict::Verdict;
use crate::quantity::{Quantity, Reading};

/// How the uncertainty of a reading enters the verdict (ILAC-G8:09/2019).
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Rule {
    /// It does not: a value on a limit is inside. Up to one in two such readings is wrong.
    #[default]
    Simple,
    /// A limit has a guard band on both sides, within which a reading is undecided.
    Guarded {
        /// The width of the band on each side, in expanded uncertainties; not below zero.
        ///
        /// With U at 95 %, 1 accepts at most 2.5 % of what is really outside, whatever the shape of its inputs. 0.83 accepts
        /// at most 5 % where they add up to a bell curve, and up to 11 % where one meter's promise outweighs the rest.
        #[serde(default = "whole", deserialize_with = "band_width")]
        fraction: f64,
    },
}

impl Rule {
    /// The guarded rule with a band of one expanded uncertainty.
    pub const GUARDED: Rule = Rule::Guarded { fraction: 1.0 };

    /// Gives the limits inside of which a reading is accepted; those of the window itself under the
    /// simple rule.
    ///
    /// They may lie the wrong way round, where the meter is too coarse to accept anything. `None`
    /// where the uncertainty measures something else than the window.
    pub fn acceptance(self, bounds: &Bounds, uncertainty: &Uncertainty) -> Option<Bounds> {
        match self {
            Rule::Simple => Some(*bounds),
            Rule::Guarded { fraction } => bounds.moved_in(band(fraction, uncertainty)?),
        }
    }
}

fn whole() -> f64 {
    1.0
}

/// Refuses a band that cannot be.
fn band_width<'de, D: Deserializer<'de>>(deserializer: D) -> Result<f64, D::Error> {
    let fraction = f64::deserialize(deserializer)?;
    if fraction.is_finite() && fraction >= 0.0 {
        return Ok(fraction);
    }
    Err(serde::de::Error::custom(format!(
        "a guard band of {fraction} times the uncertainty can't be: give zero or more, as in 1"
    )))
}

impl Bounds {
    /// Judges a reading by a rule.
    ///
    /// Under the guarded rule a value is inside where it is a whole guard band inside of every
    /// limit, outside where it is more than a guard band beyond one, and undecided between. With no
    /// uncertainty to judge by nothing is accepted: a value within the limits is undecided, one
    /// beyond them stays outside. What is no value, and what a window only records, is judged as by
    /// [`Bounds::judge`].
    pub fn judge_by(
        &self,
        reading: &Reading,
        rule: Rule,
        uncertainty: Option<&Uncertainty>,
    ) -> Verdict {
        let simple = self.judge(reading);
        let (Rule::Guarded { fraction }, Reading::Number(value)) = (rule, reading) else {
            return simple;
        };
        if !self.holds(value) || credible::fault(value, self.sign).is_some() {
            return simple;
        }
        // The other side of a single limit has its guard band too.
        let reach = self.reach();
        let decided =
            uncertainty.and_then(|uncertainty| reach.decide(reading, band(fraction, uncertainty)?));
        match decided {
            Some(verdict) => verdict,
            None if simple.is_inside() => Verdict::Undecided,
            None => simple,
        }
    }

    /// Judges a value with a guard band on both sides of each limit.
    fn decide(&self, reading: &Reading, band: Quantity) -> Option<Verdict> {
        let (accepted, not_refused) = (self.moved_in(band)?, self.moved_in(negative(band))?);
        Some(match not_refused.judge(reading) {
            outside @ Verdict::Outside(_) => outside,
            _ if accepted.judge(reading).is_inside() => Verdict::Inside,
            _ => Verdict::Undecided,
        })
    }

    /// Moves both limits inwards; `None` by a distance of another kind.
    fn moved_in(&self, band: Quantity) -> Option<Bounds> {
        let moved = |limit: Option<Quantity>, band: Quantity| match limit {
            None => Some(None),
            Some(limit) => {
                let fits = limit.dimension.minus(limit.dimension) == Some(band.dimension);
                let value = limit.value.checked_add(band.value).filter(|_| fits)?;
                Some(Some(Quantity::new(value, limit.dimension)))
            }
        };
        let (low, high) = (moved(self.low, band)?, moved(self.high, negative(band))?);
        Some(Bounds { low, high, ..*self })
    }

    /// Gives the test uncertainty ratio: the width of the window over twice U.
    ///
    /// `None` for a window open on one side, for an exact value, and for another dimension.
    pub fn ratio(&self, uncertainty: &Uncertainty) -> Option<f64> {
        let (low, high) = (self.low?, self.high?);
        if low.dimension.minus(high.dimension)? != uncertainty.expanded.dimension {
            return None;
        }
        let expanded = uncertainty.expanded.to_f64();
        (expanded > 0.0).then(|| (high.to_f64() - low.to_f64()) / (2.0 * expanded))
    }

    /// Whether a value has limits of its own kind to be judged by.
    fn holds(&self, value: &Quantity) -> bool {
        let mut limits = self.low.iter().chain(&self.high);
        !self.judges_nothing() && limits.all(|limit| limit.dimension == value.dimension)
    }
}

/// The width of a guard band, in base units.
fn band(fraction: f64, uncertainty: &Uncertainty) -> Option<Quantity> {
    let expanded = uncertainty.expanded;
    Quantity::from_f64(fraction * expanded.to_f64(), expanded.dimension)
}

fn negative(quantity: Quantity) -> Quantity {
    Quantity { value: quantity.value.neg(), ..quantity }
}
