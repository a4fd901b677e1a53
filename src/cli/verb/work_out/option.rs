//! Values on the command line, written as on a bench.
//!
//! One rule for all: a number alone is in the unit that the help shows behind its option, and where two units are
//! possible a number alone is refused.

use crate::quantity::{Dimension, Quantity, Reading, ReadingError, Unit};

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

/// Reads a size in a unit that may be zero, in base units.
pub(super) fn from_zero(
    symbol: &'static str,
) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync + 'static {
    move |text| match read(text, symbol)? {
        size if size >= 0.0 => Ok(size),
        _ => Err("it cannot be below zero".to_owned()),
    }
}

/// Reads a size above zero in a unit, or `open` as a meter shows it, which is infinite.
pub(super) fn open_or_above_zero(
    symbol: &'static str,
) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync + 'static {
    move |text| {
        let unit = Unit::parse(symbol).map_err(|error| error.to_string())?;
        match Reading::parse(text, &unit) {
            Ok(Reading::OverRange) => Ok(f64::INFINITY),
            _ => above_zero(symbol)(text),
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
    let unit = Unit::parse(symbol).map_err(|error| error.to_string())?;
    let quantity =
        Quantity::parse_as(text, &unit).or_else(|error| match Reading::parse(text, &unit) {
            Ok(Reading::Number(quantity)) => Ok(quantity),
            Err(mark @ (ReadingError::FuseMark { .. } | ReadingError::UnreadFuseMark { .. })) => {
                Err(mark.to_string())
            }
            Ok(Reading::OverRange) => {
                Err("over range is not a number: read it on a higher range".to_owned())
            }
            _ => Err(error.to_string()),
        })?;
    let base = quantity.to_f64();
    if quantity.dimension == Dimension::CELSIUS && base <= ABSOLUTE_ZERO {
        return Err("nothing is as cold: absolute zero is -273.15 degC".to_owned());
    }
    // Beyond these no product of a few of them leaves the range of numbers.
    if base.is_normal() && !(1e-30..=1e30).contains(&base.abs()) {
        return Err("no bench has such a value: check its prefix".to_owned());
    }
    Ok(base)
}
