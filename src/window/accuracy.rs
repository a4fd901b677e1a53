//! What a meter's data sheet promises, and the uncertainty that follows.

use serde::{Deserialize, Serialize};

use crate::quantity::{Decimal, Dimension, Estimate, Quantity, Shape};

/// How well what a meter changes is known, as a part of it: both resistances are taken to be within 5 % (common practice, no
/// source).
pub const LOADING_LEFT: f64 = 0.1;

/// How a reading's uncertainty follows from an accuracy, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("accuracy.md");

/// The accuracy of one range of a meter, as its data sheet gives it.
///
/// `{range: 6 V, count: 1 mV, of_reading: 0.5 %, counts: 2}` is the trade's "0.5 % + 2 digits" on a
/// range of 6 V that shows single millivolts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Accuracy {
    /// The largest value the range is for.
    pub range: Quantity,
    /// One count of the last digit on this range; in K for a Celsius temperature.
    pub count: Quantity,
    /// The part that goes with the reading.
    #[serde(default = "nothing", skip_serializing_if = "is_nothing")]
    pub of_reading: Quantity,
    /// The part in counts of the last digit ("digits").
    #[serde(default, skip_serializing_if = "is_zero")]
    pub counts: u32,
    /// The part that goes with the range.
    #[serde(default = "nothing", skip_serializing_if = "is_nothing")]
    pub of_range: Quantity,
    /// What is added where it is colder or warmer than the rest is promised for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside_span: Option<OutsideSpan>,
    /// The resistance between the meter's own terminals on this range: the input of a voltmeter, the burden of an
    /// ammeter (2 mV/mA is 2 ohm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub input_resistance: Option<Quantity>,
    /// The resistance of the test leads, where a reading of resistance includes it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leads: Option<Quantity>,
}

/// The temperatures an accuracy is promised for, and what is added for each kelvin beyond them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct OutsideSpan {
    /// The lowest temperature of the span.
    pub from: Quantity,
    /// The highest temperature of the span.
    pub to: Quantity,
    /// Added for each kelvin, of the reading: `0.05 %/K`.
    #[serde(default = "nothing_per_kelvin", skip_serializing_if = "is_nothing")]
    pub of_reading: Quantity,
    /// Added for each kelvin, of the range.
    #[serde(default = "nothing_per_kelvin", skip_serializing_if = "is_nothing")]
    pub of_range: Quantity,
    /// Added for each kelvin, of the accuracy within the span: the "0.1 x accuracy" of data sheets
    /// is `10 %/K`.
    #[serde(default = "nothing_per_kelvin", skip_serializing_if = "is_nothing")]
    pub of_accuracy: Quantity,
}

/// What an accuracy depends on beside the reading.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Conditions {
    /// The temperature of the room; taken to be within the span where it is not known.
    pub ambient: Option<Quantity>,
    /// The resistance of what is measured: behind a voltage, or in the way of a current. The meter is taken to change
    /// nothing where it is not known.
    pub source_resistance: Option<Quantity>,
}

/// Why an accuracy cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AccuracyError {
    /// A part measures something else.
    #[error("`{part}` of the accuracy is {found}, but {wanted} belongs there")]
    WrongDimension {
        /// The part.
        part: &'static str,
        /// What it measures.
        found: String,
        /// What it should measure.
        wanted: String,
    },
    /// A part that can only be a size has a minus.
    #[error("`{part}` of the accuracy is below zero: write it without a minus")]
    Negative {
        /// The part.
        part: &'static str,
    },
    /// An input that would short what it measures.
    #[error("an input resistance of zero would short what is measured: check its unit")]
    NoInputResistance,
    /// A current that nothing but the meter limits.
    #[error("a source resistance of 0 has no current that a meter could lie in: check its unit")]
    NoSourceResistance,
    /// A part that goes with another kind of range.
    #[error(
        "`{part}` does not go with {reads}: `input_resistance` is for voltage and current, `leads` for resistance"
    )]
    Misplaced {
        /// The part.
        part: &'static str,
        /// What the range reads.
        reads: String,
    },
    /// The span is the wrong way round.
    #[error("the span begins above its end: swap `from` and `to`")]
    SpanReversed,
}

impl Accuracy {
    /// Finds the range that shows a reading: the smallest that holds it, as a meter that picks its
    /// own range does.
    ///
    /// A range set by hand may be larger, and its counts are coarser: then take that range.
    pub fn in_use<'a>(ranges: &'a [Accuracy], reading: &Quantity) -> Option<&'a Accuracy> {
        let size = |quantity: &Quantity| quantity.value.abs();
        let fits = |accuracy: &&Accuracy| {
            accuracy.range.dimension == reading.dimension && size(&accuracy.range) >= size(reading)
        };
        ranges.iter().filter(fits).min_by_key(|accuracy| size(&accuracy.range))
    }

    /// Gives a reading on this range with its uncertainty; `name` tells its inputs from those of
    /// other readings.
    ///
    /// The promise is a rectangular input, its parts added up as GUM 4.3.7 does. The counts of a
    /// promise cover the last digit; without counts, half of one is an input of its own. What the
    /// meter takes away by being there is known, and so it is added back (GUM 3.2.4); what
    /// is left of it is an input of its own. Errors on parts that do not fit together.
    pub fn estimate(
        &self,
        reading: Quantity,
        name: &str,
        conditions: &Conditions,
    ) -> Result<Estimate, AccuracyError> {
        let half_width = self.half_width(&reading, conditions)?;
        let promised =
            Estimate::exact(reading).with_bounds(format!("{name}, meter"), RECTANGULAR, half_width);
        let digit = if self.counts == 0 { self.count.to_f64() / 2.0 } else { 0.0 };
        let shown = promised.with_bounds(format!("{name}, last digit"), RECTANGULAR, digit);
        let loading = self.taken_away(&reading, conditions.source_resistance.as_ref())?;
        let left = LOADING_LEFT * loading.abs();
        let loaded = shown.with_bounds(format!("{name}, loading"), RECTANGULAR, left);
        let unloaded = Quantity::from_f64(reading.to_f64() + loading, reading.dimension);
        // Without loading the value keeps all its digits.
        let value = unloaded.filter(|_| loading != 0.0).unwrap_or(reading);
        Ok(Estimate { value, ..loaded })
    }

    /// Gives the bounds the meter's promise puts around a reading, in base units.
    ///
    /// Errors on parts that do not fit together.
    pub fn half_width(
        &self,
        reading: &Quantity,
        conditions: &Conditions,
    ) -> Result<f64, AccuracyError> {
        let dimension = reading.dimension;
        let spread = dimension.minus(dimension).unwrap_or(dimension);
        same("range", &self.range, dimension)?;
        let range = self.range.to_f64().abs();
        let reading = reading.to_f64().abs();
        let of_reading = size("of_reading", &self.of_reading, Dimension::NONE)?;
        let of_range = size("of_range", &self.of_range, Dimension::NONE)?;
        let counts = f64::from(self.counts) * size("count", &self.count, spread)?;
        let within = reading * of_reading + counts + range * of_range;
        let Some((span, ambient)) = self.outside_span.as_ref().zip(conditions.ambient) else {
            return Ok(within);
        };
        let kelvins = span.kelvins_outside(&ambient)?;
        let added = reading * size("of_reading", &span.of_reading, per_kelvin())?
            + range * size("of_range", &span.of_range, per_kelvin())?
            + within * size("of_accuracy", &span.of_accuracy, per_kelvin())?;
        Ok(within + kelvins * added)
    }
}

impl OutsideSpan {
    fn kelvins_outside(&self, ambient: &Quantity) -> Result<f64, AccuracyError> {
        for (part, point) in [("from", &self.from), ("to", &self.to), ("ambient", ambient)] {
            same(part, point, Dimension::CELSIUS)?;
        }
        let [from, to, ambient] = [&self.from, &self.to, ambient].map(Quantity::to_f64);
        if from > to {
            return Err(AccuracyError::SpanReversed);
        }
        Ok((from - ambient).max(ambient - to).max(0.0))
    }
}

const RECTANGULAR: Shape = Shape::Rectangular;

fn same(part: &'static str, quantity: &Quantity, wanted: Dimension) -> Result<(), AccuracyError> {
    if quantity.dimension == wanted {
        return Ok(());
    }
    let (found, wanted) = (quantity.dimension.name(), wanted.name());
    Err(AccuracyError::WrongDimension { part, found, wanted })
}

/// The number of base units of a part that is a size.
pub(super) fn size(
    part: &'static str,
    quantity: &Quantity,
    wanted: Dimension,
) -> Result<f64, AccuracyError> {
    same(part, quantity, wanted)?;
    if quantity.value.is_negative() {
        return Err(AccuracyError::Negative { part });
    }
    Ok(quantity.to_f64())
}

fn per_kelvin() -> Dimension {
    Dimension::NONE.over(Dimension::TEMPERATURE).expect("a kelvin can stand below the line")
}

fn nothing() -> Quantity {
    Quantity::new(Decimal::ZERO, Dimension::NONE)
}

fn nothing_per_kelvin() -> Quantity {
    Quantity::new(Decimal::ZERO, per_kelvin())
}

fn is_nothing(quantity: &Quantity) -> bool {
    quantity.value.is_zero()
}

fn is_zero(counts: &u32) -> bool {
    *counts == 0
}
