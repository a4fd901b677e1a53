//! The ceiling of a stage, and what may be set under it.

use std::cmp::Ordering;

use serde::Deserialize;

use super::act::Keyed;
use super::step::Step;
use super::{At, BenchFile, Expression, Stage, ValueLookup};
use crate::quantity::{Decimal, Quantity};
use crate::record::{Ceiling, Source, Unworkable};

/// The most that a stage's source can deliver, as written.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CeilingText {
    /// Highest voltage (RMS on the mains).
    pub voltage: Expression,
    /// Highest current.
    pub current: Expression,
    /// Why this rung is far above the one below, when it is.
    pub reason: Option<At<String>>,
}

impl CeilingText {
    /// Works it out.
    ///
    /// # Errors
    /// A limit without a usable value, or one that is not above zero: nothing can be delivered under it.
    pub fn evaluate(&self, values: &ValueLookup<'_>) -> Result<Ceiling, Unworkable> {
        let limit = |limit: &Expression| above_zero(limit.evaluate(values)?);
        Ok(Ceiling { voltage: limit(&self.voltage)?, current: limit(&self.current)? })
    }
}

impl Stage {
    /// Works its ceiling out; none where nothing is delivered.
    ///
    /// # Errors
    /// As [`CeilingText::evaluate`].
    pub fn ceiling(&self, values: &ValueLookup<'_>) -> Result<Option<Ceiling>, Unworkable> {
        self.ceiling.as_ref().map(|ceiling| ceiling.evaluate(values)).transpose()
    }

    /// Turns one of its steps into acts, with every limit worked out.
    ///
    /// # Errors
    /// An expression without a usable value, or a setting that its ceiling does not allow.
    pub fn acts(&self, step: &Step, values: &ValueLookup<'_>) -> Result<Vec<Keyed>, Unworkable> {
        let sets = step.set.as_ref().is_some_and(|set| set.to.is_some());
        let ceiling = if sets { self.ceiling(values)? } else { None };
        self.acts_under(ceiling.as_ref(), step, values)
    }

    /// The same under a ceiling that was worked out before.
    ///
    /// # Errors
    /// As [`Stage::acts`].
    pub fn acts_under(
        &self,
        ceiling: Option<&Ceiling>,
        step: &Step,
        values: &ValueLookup<'_>,
    ) -> Result<Vec<Keyed>, Unworkable> {
        let Some(kind) = step.kind() else { return Ok(Vec::new()) };
        let to = step.set.as_ref().and_then(|set| set.to.as_ref());
        if let Some((to, ceiling)) = to.zip(ceiling) {
            may_be_set(&to.evaluate(values)?, ceiling)?;
        }
        kind.acts(values)
    }
}

/// The lowest and the highest mains of an outlet (V): 100 V less a tenth, and 250 V and a tenth.
pub(super) const MAINS_V: [i64; 2] = [90, 275];
/// A variable transformer gives a little more than the mains, and anything below (V).
const VARIABLE_V: [i64; 2] = [0, 310];
/// Bench supplies: 1 kV is where low voltage ends (V), and 100 A is more than any that is wanted here.
const SUPPLY_V: [i64; 2] = [0, 1000];
const SUPPLY_A: i64 = 100;
/// The most that an outlet of a bench is fused for (A).
const OUTLET_A: i64 = 32;

impl Ceiling {
    /// Refuses a ceiling that no such source has (common practice, no source).
    ///
    /// # Errors
    /// What it is, and what such a source can have.
    pub fn is_credible_of(&self, source: Source) -> Result<(), Unworkable> {
        let ([low, high], most) = match source {
            Source::None => return Ok(()),
            Source::BenchSupply => (SUPPLY_V, SUPPLY_A),
            Source::MainsVariable => (VARIABLE_V, OUTLET_A),
            Source::MainsThroughLamp | Source::Mains => (MAINS_V, OUTLET_A),
        };
        let beyond = |limit: Quantity, low: i64, high: i64| {
            let is_in = limit.value >= Decimal::new(low, 0) && limit.value <= Decimal::new(high, 0);
            (!is_in).then_some(Unworkable::IncredibleCeiling { limit, feed: source, low, high })
        };
        let volts = beyond(self.voltage, low, high);
        volts.or_else(|| beyond(self.current, 0, most)).map_or(Ok(()), Err)
    }
}

impl BenchFile {
    /// Refuses a ceiling above what one of these outputs of a supply can be asked for.
    ///
    /// # Errors
    /// The first output that can't do it.
    pub fn can_deliver(&self, outputs: &[String], ceiling: &Ceiling) -> Result<(), Unworkable> {
        for name in outputs {
            let supply = self.supply(name).map(|(_, supply)| supply);
            let Some(channel) = supply.and_then(|supply| supply.channels.get(name)) else {
                continue;
            };
            let limits =
                [(ceiling.voltage, channel.voltage_max), (ceiling.current, channel.current_max)];
            for (limit, most) in limits {
                if limit.compare(&most) == Some(Ordering::Greater) {
                    let output = name.clone();
                    return Err(Unworkable::CeilingAboveOutput { limit, most, output });
                }
            }
        }
        Ok(())
    }
}

/// Refuses a setting that is not between zero and the ceiling.
pub(super) fn may_be_set(to: &Quantity, ceiling: &Ceiling) -> Result<(), Unworkable> {
    if to.value < Decimal::ZERO {
        return Err(Unworkable::SetBelowZero { to: *to });
    }
    match to.compare(&ceiling.voltage) {
        Some(Ordering::Greater) => {
            Err(Unworkable::SetAboveCeiling { to: *to, ceiling: ceiling.voltage })
        }
        _ => Ok(()),
    }
}

/// Refuses a limit under which nothing can be delivered.
pub(super) fn above_zero(limit: Quantity) -> Result<Quantity, Unworkable> {
    if limit.value > Decimal::ZERO {
        return Ok(limit);
    }
    Err(Unworkable::NothingUnder { limit })
}
