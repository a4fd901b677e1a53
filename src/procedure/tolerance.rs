//! A fact with its tolerance, as an equipment file states it: `31 V +/- 2 %`.

use crate::quantity::{Dimension, Quantity, Reading, Unit};
use crate::record::Refusal;

/// What stands between a value and its tolerance.
const SIGNS: [&str; 2] = ["+/-", "\u{b1}"];

/// The text of the value, and that of its tolerance where one is stated.
#[must_use]
pub fn split_tolerance(text: &str) -> (&str, Option<&str>) {
    let split = SIGNS.iter().find_map(|sign| text.split_once(sign));
    split.map_or((text, None), |(value, tolerance)| (value, Some(tolerance)))
}

/// How far the true value may be from the stated one, on either side, in the unit of the value: from a part of it (`2 %`) or as a
/// value (`0.5 V`).
///
/// # Errors
/// What is no tolerance: without a unit, of another kind than the value, not above zero, or all of the value and more.
pub fn half_width(tolerance: &str, value: &Quantity) -> Result<f64, Refusal> {
    let refused = || Refusal::Tolerance { text: tolerance.trim().to_owned() };
    let read = |unit: &Unit| match Reading::parse(tolerance, unit) {
        Ok(Reading::Number(read)) => Some(read),
        Ok(Reading::OverRange | Reading::NotANumber) | Err(_) => None,
    };
    let is_bare = Reading::parse(tolerance, &Unit::base(Dimension::NONE)).is_ok();
    let size = value.to_f64().abs();
    let width = match tolerance.trim().strip_suffix('%') {
        Some(percent) => percent.trim().parse::<f64>().ok().map(|percent| size * percent / 100.0),
        None if is_bare => None,
        None => read(&Unit::base(value.dimension)).map(|read| read.to_f64()),
    };
    // A temperature has no natural zero to take a part of.
    let is_part_of_degrees = tolerance.contains('%') && value.dimension == Dimension::CELSIUS;
    width
        .filter(|width| width.is_finite() && *width > 0.0 && !is_part_of_degrees)
        .filter(|width| value.dimension == Dimension::CELSIUS || *width < size)
        .ok_or_else(refused)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;

    fn width(text: &str) -> Option<f64> {
        let (value, tolerance) = split_tolerance(text);
        half_width(tolerance.unwrap(), &Quantity::parse(value.trim()).unwrap()).ok()
    }

    #[test]
    fn a_tolerance_is_a_part_or_a_value() {
        assert_eq!(width("31 V +/- 2 %"), Some(0.62));
        assert_eq!(width("31 V \u{b1}2%"), Some(0.62));
        assert_eq!(width("31 V +/- 500 mV"), Some(0.5));
        assert_eq!(width("-31 V +/- 10 %"), Some(3.1));
        assert_eq!(width("10 mF +/- 2 mF"), Some(0.002));
        assert_eq!(split_tolerance("31 V"), ("31 V", None));
    }

    #[test]
    fn what_nobody_can_mean_is_refused() {
        for text in [
            "31 V +/- 2",
            "31 V +/-",
            "31 V +/- 2 A",
            "31 V +/- 0 %",
            "31 V +/- -2 %",
            "31 V +/- 100 %",
            "31 V +/- 31 V",
            "31 V +/- 1e400 %",
            "31 V +/- nan %",
            "31 V +/- OL",
            "31 V +/- 2 % +/- 1 %",
            "0 V +/- 2 %",
            "25 degC +/- 2 %",
        ] {
            assert_eq!(width(text), None, "{text}");
        }
    }
}
