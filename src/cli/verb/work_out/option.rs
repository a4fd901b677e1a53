//! Values on the command line, written as on a bench.

use crate::quantity::{Quantity, Reading, ReadingError, Unit};

/// Reads a size in a unit: a number above nought, in base units.
pub(super) fn above_nought(
    symbol: &'static str,
) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync + 'static {
    move |text| match read(text, symbol)? {
        size if size > 0.0 => Ok(size),
        _ => Err("it has to be above nought".to_owned()),
    }
}

/// Reads a size in a unit that may be nought, in base units.
pub(super) fn from_nought(
    symbol: &'static str,
) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync + 'static {
    move |text| match read(text, symbol)? {
        size if size >= 0.0 => Ok(size),
        _ => Err("it cannot be below nought".to_owned()),
    }
}

/// Reads a value in a unit, in base units; a number alone is in that unit, and `4k7` and `10m` are read as at a bench.
pub(super) fn read(text: &str, symbol: &str) -> Result<f64, String> {
    let unit = Unit::parse(symbol).map_err(|error| error.to_string())?;
    let quantity =
        Quantity::parse_as(text, &unit).or_else(|error| match Reading::parse(text, &unit) {
            Ok(Reading::Number(quantity)) => Ok(quantity),
            Err(mark @ ReadingError::FuseMark { .. }) => Err(mark.to_string()),
            Ok(Reading::OverRange) => {
                Err("over range is no number: read it on a higher range".to_owned())
            }
            _ => Err(error.to_string()),
        })?;
    let base = quantity.to_f64();
    // Beyond these no product of a few of them leaves the range of numbers.
    if base.is_normal() && !(1e-30..=1e30).contains(&base.abs()) {
        return Err("no bench has such a value: check its prefix".to_owned());
    }
    Ok(base)
}
