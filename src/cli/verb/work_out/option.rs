//! Values on the command line, written as on a bench.
//!
//! One rule for all: a number alone is in the unit that the help shows behind its option, and where two units are
//! possible a number alone is refused.

use std::ops::RangeInclusive;

use crate::quantity::{Decimal, Dimension, Quantity, Reading, ReadingError, Unit};
use crate::window;

/// What is said where a meter showed no value.
const OVER_RANGE: &str = "over range is not a number: read it on a higher range";

/// What is said of a value that nothing at a bench has.
const NO_SUCH_VALUE: &str = "no bench has such a value: check its prefix";

/// The least size of a value, in base units, that is a value and no slip (common practice, no source): a femtofarad, a femtoampere,
/// and a billionth of anything else.
fn least(dimension: Dimension) -> f64 {
    match dimension {
        Dimension::CAPACITANCE | Dimension::CURRENT => 1e-15,
        _ => 1e-9,
    }
}

/// Whether a value is larger or smaller than anything at a bench; zero is neither.
fn is_a_slip(quantity: &Quantity) -> bool {
    let is_nothing = quantity.to_f64().abs() < least(quantity.dimension) * (1.0 - 1e-9);
    is_nothing && !quantity.value.is_zero() || window::is_absurd(quantity)
}

/// The frequencies of mains: from that of railways to that of aircraft and ships, with room (common practice, no source).
const MAINS_HZ: RangeInclusive<f64> = 5.0..=1000.0;

/// The lowest temperature there is, in degrees Celsius (SI Brochure, 9th edition, 2.3.1).
const ABSOLUTE_ZERO: f64 = -273.15;

/// Reads a size in a unit: a number above zero, in base units.
pub(super) fn above_zero(
    symbol: &'static str,
) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync + 'static {
    move |text| match read(text, symbol)? {
        size if size > 0.0 => Ok(size),
        _ => Err("it has to be above zero".to_owned()),
    }
}

/// Reads a current above zero of up to so much (A): that of a short circuit is more than a bench has otherwise.
pub(super) fn short_circuit(
    most: f64,
) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync + 'static {
    move |text| match quantity(text, "A")?.to_f64() {
        size if size > most || size > 0.0 && size < least(Dimension::CURRENT) => {
            Err(NO_SUCH_VALUE.to_owned())
        }
        size if size > 0.0 => Ok(size),
        _ => Err("it has to be above zero".to_owned()),
    }
}

/// Reads a size in a unit that may be zero, in base units.
pub(super) fn from_zero(
    symbol: &'static str,
) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync + 'static {
    move |text| match read(text, symbol)? {
        size if size >= 0.0 => Ok(size),
        _ => Err("it cannot be below zero".to_owned()),
    }
}

/// Sizes that stand with a comma between them.
#[derive(Clone, Debug)]
pub(super) struct Several(pub(super) Vec<f64>);

/// Reads sizes above zero with a comma between them, in base units.
///
/// Of several each takes its unit: `4,7k` would be 4 ohm and 7 kohm where 4.7 kohm is meant.
pub(super) fn several_above_zero(
    symbol: &'static str,
) -> impl Fn(&str) -> Result<Several, String> + Clone + Send + Sync + 'static {
    move |text| {
        let parts: Vec<&str> = text.split(',').collect();
        let is_bare = |part: &&str| part.trim().ends_with(|c: char| c.is_ascii_digit() || c == '.');
        let is_letter_mark = |part: &&str| part.contains(|c: char| c.is_ascii_alphabetic());
        if parts.len() > 1 && parts.iter().any(|part| is_bare(part) && !is_letter_mark(part)) {
            return Err(format!(
                "`{text}` may be one value or several: write a point before decimals, and each of several with its unit, \
                 as `10{symbol},22{symbol}`"
            ));
        }
        parts.into_iter().map(above_zero(symbol)).collect::<Result<_, _>>().map(Several)
    }
}

/// Reads a whole number.
pub(super) fn whole(
    numbers: RangeInclusive<u32>,
) -> impl Fn(&str) -> Result<u32, String> + Clone + Send + Sync + 'static {
    move |text| {
        let number = text.trim().parse().ok().filter(|number| numbers.contains(number));
        let (least, most) = (numbers.start(), numbers.end());
        number.ok_or_else(|| format!("it is a whole number from {least} to {most}"))
    }
}

/// Reads a size in a unit, or `open` as a meter shows it, which is infinite.
pub(super) fn open_or_from_zero(
    symbol: &'static str,
) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync + 'static {
    move |text| {
        let unit = Unit::parse(symbol).map_err(|error| error.to_string())?;
        match Reading::parse(text, &unit) {
            Ok(Reading::OverRange) => Ok(f64::INFINITY),
            _ => from_zero(symbol)(text),
        }
    }
}

/// Reads a size above zero in one of two units, in base units; true for the second.
pub(super) fn either(text: &str, units: [&str; 2], example: &str) -> Result<(f64, bool), String> {
    let [first, second] = units;
    let both = (read(text, first), read(text, second));
    let (size, is_second) = match both {
        (Ok(size), Err(_)) => (size, false),
        (Err(_), Ok(size)) => (size, true),
        (Ok(_), Ok(_)) => {
            return Err(format!("`{text}` may be {first} or {second}: type it like {example}"));
        }
        (Err(_), Err(_)) => return Err(format!("`{text}` is neither: type it like {example}")),
    };
    if size > 0.0 { Ok((size, is_second)) } else { Err("it has to be above zero".to_owned()) }
}

/// Reads a value in a unit, in base units; a number alone is in that unit, and `4k7` and `10m` are read as at a bench.
pub(super) fn read(text: &str, symbol: &str) -> Result<f64, String> {
    let quantity = quantity(text, symbol)?;
    if is_a_slip(&quantity) { Err(NO_SUCH_VALUE.to_owned()) } else { Ok(quantity.to_f64()) }
}

/// Reads a value of any unit, which is written behind it.
pub(super) fn value(text: &str) -> Result<Quantity, String> {
    let value = Quantity::parse(text).map_err(|error| {
        let shown = Reading::parse(text, &Unit::base(Dimension::NONE));
        if shown == Ok(Reading::OverRange) { OVER_RANGE.to_owned() } else { error.to_string() }
    })?;
    if is_a_slip(&value) { Err(NO_SUCH_VALUE.to_owned()) } else { Ok(value) }
}

/// Reads a value above zero of any unit, which is written behind it.
pub(super) fn value_above_zero(text: &str) -> Result<Quantity, String> {
    match value(text)? {
        value if value.to_f64() > 0.0 => Ok(value),
        _ => Err("it has to be above zero".to_owned()),
    }
}

/// Reads the frequency of a mains, in Hz.
pub(super) fn mains_hertz(text: &str) -> Result<f64, String> {
    match above_zero("Hz")(text)? {
        hertz if MAINS_HZ.contains(&hertz) => Ok(hertz),
        _ => Err("no mains has such a frequency".to_owned()),
    }
}

fn quantity(text: &str, symbol: &str) -> Result<Quantity, String> {
    let unit = Unit::parse(symbol).map_err(|error| error.to_string())?;
    if has_an_exponent_of_its_own(text, &unit) {
        let base = Unit::base(unit.dimension());
        let (base, symbol) = (base.symbol(), unit.symbol());
        return Err(format!("`{text}` may be in {base} or in {symbol}: write its unit"));
    }
    let quantity =
        Quantity::parse_as(text, &unit).or_else(|error| match Reading::parse(text, &unit) {
            Ok(Reading::Number(quantity)) => Ok(quantity),
            Err(
                mark @ (ReadingError::FuseMark { .. }
                | ReadingError::UnreadFuseMark { .. }
                | ReadingError::FuseMarkWithoutUnit { .. }),
            ) => Err(mark.to_string()),
            Ok(Reading::OverRange) => Err(OVER_RANGE.to_owned()),
            _ => Err(error.to_string()),
        })?;
    if quantity.dimension == Dimension::CELSIUS && quantity.to_f64() <= ABSOLUTE_ZERO {
        return Err("nothing is as cold: absolute zero is -273.15 degC".to_owned());
    }
    Ok(quantity)
}

/// Whether a number alone brings a power of ten to a unit that has one too: `47e-6` is hardly meant as picofarads.
fn has_an_exponent_of_its_own(text: &str, unit: &Unit) -> bool {
    let is_alone = text.trim().ends_with(|c: char| c.is_ascii_digit());
    let is_small = text.contains(['e', 'E']) && text.contains(['-', '\u{2212}']);
    let has_prefix = unit.takes_prefix() && unit.factor() != Decimal::ONE;
    is_alone && is_small && has_prefix
}
