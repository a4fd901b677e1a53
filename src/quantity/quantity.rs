//! A value with its dimension.

use std::cmp::Ordering;
use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::decimal::Decimal;
use super::decimal_text::{DecimalError, complaint, split_number};
use super::dimension::Dimension;
use super::unit::{Unit, UnitError};

/// An exact value in base units, with its dimension.
///
/// It has no order of its own: values of different dimensions do not compare.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Quantity {
    /// The value in base units.
    pub value: Decimal,
    /// What it measures.
    pub dimension: Dimension,
}

/// Why a text is not a quantity.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum QuantityError {
    /// The number cannot be read.
    #[error(transparent)]
    Number(#[from] DecimalError),
    /// The unit cannot be read.
    #[error(transparent)]
    Unit(#[from] UnitError),
    /// The unit measures something else than is wanted here.
    #[error("`{text}` is {found}, but this is {wanted}: write it in {unit}")]
    WrongDimension {
        /// What was written.
        text: String,
        /// What that measures.
        found: String,
        /// What is measured here.
        wanted: String,
        /// A unit that fits.
        unit: String,
    },
}

impl Quantity {
    /// Makes a quantity from a value in base units.
    pub const fn new(value: Decimal, dimension: Dimension) -> Quantity {
        Quantity { value, dimension }
    }

    /// Takes a computed value in base units, rounded to 12 significant digits; `None` if it is not
    /// finite.
    pub fn from_f64(value: f64, dimension: Dimension) -> Option<Quantity> {
        Some(Quantity::new(Decimal::from_f64(value)?, dimension))
    }

    /// Reads a number with its unit, as in `4.7 kohm`; without a unit it is a pure number.
    pub fn parse(text: &str) -> Result<Quantity, QuantityError> {
        let (number, unit) = split_value(text)?;
        Ok(in_base_units(text, Decimal::parse(number)?, &Unit::parse(unit)?)?)
    }

    /// Reads a value where a unit is expected, which is the unit of a number that has none.
    ///
    /// Errors with both dimensions named where they differ.
    pub fn parse_as(text: &str, unit: &Unit) -> Result<Quantity, QuantityError> {
        let (number, written) = split_value(text)?;
        let number = Decimal::parse(number)?;
        let written_unit = if written.is_empty() { unit.clone() } else { Unit::parse(written)? };
        if written_unit.dimension() != unit.dimension() {
            return Err(QuantityError::WrongDimension {
                text: text.trim().to_owned(),
                found: written_unit.dimension().name(),
                wanted: unit.dimension().name(),
                unit: if unit.symbol().is_empty() {
                    "plain digits".to_owned()
                } else {
                    unit.symbol().to_owned()
                },
            });
        }
        Ok(in_base_units(text, number, &written_unit)?)
    }

    /// Gives the nearest binary number, in base units.
    pub fn to_f64(&self) -> f64 {
        self.value.to_f64()
    }

    /// Compares two quantities; `None` when their dimensions differ.
    pub fn compare(&self, other: &Quantity) -> Option<Ordering> {
        (self.dimension == other.dimension).then(|| self.value.cmp(&other.value))
    }

    /// Gives the number of `unit`s, exactly or else rounded to 12 digits; the unit has to fit the
    /// dimension.
    pub fn in_unit(&self, unit: &Unit) -> Decimal {
        debug_assert_eq!(self.dimension, unit.dimension(), "a unit of another dimension");
        unit.from_base(self.value)
    }
}

/// Splits a text into its number and the trimmed rest; errors where the number breaks off in its
/// middle.
pub(super) fn split_value(text: &str) -> Result<(&str, &str), DecimalError> {
    let text = text.trim();
    let (number, rest) = split_number(text);
    let rest = rest.trim_start();
    let broken_off = rest.starts_with(|c: char| c.is_numeric() || [',', '_', '.'].contains(&c));
    if broken_off { Err(complaint(text)) } else { Ok((number, rest)) }
}

/// Converts to base units; a value that would lose digits by it is refused.
pub(super) fn in_base_units(
    text: &str,
    number: Decimal,
    unit: &Unit,
) -> Result<Quantity, DecimalError> {
    let value = unit.to_base(number).ok_or_else(|| DecimalError::TooManyDigits(text.to_owned()))?;
    Ok(Quantity::new(value, unit.dimension()))
}

/// Writes the exact value in its base unit.
impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(format!("{} {}", self.value, Unit::base(self.dimension).symbol()).trim_end())
    }
}

impl Serialize for Quantity {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Quantity {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Quantity, D::Error> {
        use serde::de::Error;
        let text = String::deserialize(deserializer)?;
        let (number, unit) = split_value(&text).map_err(D::Error::custom)?;
        let number = Decimal::parse_stored(number).map_err(D::Error::custom)?;
        let unit = Unit::parse(unit).map_err(D::Error::custom)?;
        in_base_units(&text, number, &unit).map_err(D::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::*;

    fn unit(text: &str) -> Unit {
        Unit::parse(text).unwrap()
    }

    #[test]
    fn reads_a_number_with_its_unit() {
        for (text, value, dimension) in [
            ("4.7 kohm", Decimal::new(4700, 0), Dimension::RESISTANCE),
            ("  -12.3V ", Decimal::new(-123, -1), Dimension::VOLTAGE),
            ("15 %", Decimal::new(15, -2), Dimension::NONE),
            ("2", Decimal::new(2, 0), Dimension::NONE),
            ("1 min", Decimal::new(60, 0), Dimension::TIME),
            ("54 degC", Decimal::new(54, 0), Dimension::CELSIUS),
            ("1e6 V/s", Decimal::new(1, 6), Dimension::VOLTAGE.over(Dimension::TIME).unwrap()),
        ] {
            assert_eq!(Quantity::parse(text), Ok(Quantity::new(value, dimension)), "{text}");
        }
    }

    #[test]
    fn refuses_what_is_unclear() {
        let message = |text: &str| Quantity::parse(text).unwrap_err().to_string();
        assert_eq!(message(""), "a number is missing: write one like `12.3`");
        assert_eq!(message("V"), "a number is missing: write one like `12.3`");
        assert!(message("1,5 V").contains("comma"));
        assert!(message("1 000 V").contains("gap"));
        assert!(message("1_000 V").contains("gap"));
        assert!(message("5 v").contains("did you mean `V`"));
        assert!(message("4k7").contains("unknown unit"), "letter marks are for people at a bench");
        assert!(message("1234567890123456789012345678901 V").contains("more than 30 digits"));
    }

    #[test]
    fn a_missing_unit_is_the_expected_one() {
        let expected = unit("mA");
        assert_eq!(Quantity::parse_as("60", &expected), Quantity::parse("60 mA"));
        assert_eq!(Quantity::parse_as("0.06 A", &expected), Quantity::parse("60 mA"));
        let message = Quantity::parse_as("60 mV", &expected).unwrap_err().to_string();
        assert_eq!(message, "`60 mV` is voltage, but this is current: write it in mA");
        let message = Quantity::parse_as("54 K", &unit("degC")).unwrap_err().to_string();
        assert_eq!(
            message,
            "`54 K` is temperature difference, but this is temperature: write it in degC"
        );
        let message = Quantity::parse_as("2 V", &unit("")).unwrap_err().to_string();
        assert_eq!(
            message,
            "`2 V` is voltage, but this is ratio or number: write it in plain digits"
        );
    }

    #[test]
    fn compares_like_with_like_only() {
        let quantity = |text| Quantity::parse(text).unwrap();
        assert_eq!(quantity("300 mohm").compare(&quantity("0.3 ohm")), Some(Ordering::Equal));
        assert_eq!(quantity("-1 V").compare(&quantity("1 uV")), Some(Ordering::Less));
        assert_eq!(quantity("1 V").compare(&quantity("1 A")), None);
        assert_eq!(quantity("54 K").compare(&quantity("54 degC")), None);
    }

    #[test]
    fn converts_to_a_unit() {
        assert_eq!(
            Quantity::parse("0.3 ohm").unwrap().in_unit(&unit("mohm")),
            Decimal::new(300, 0)
        );
        assert_eq!(Quantity::parse("90 s").unwrap().in_unit(&unit("min")), Decimal::new(15, -1));
        let hours = Quantity::parse("1 s").unwrap().in_unit(&unit("h"));
        assert_eq!(hours, Decimal::new(277_777_777_778, -15));
    }

    #[test]
    fn takes_computed_values_without_their_noise() {
        let sum = Quantity::from_f64(0.1 + 0.2, Dimension::VOLTAGE).unwrap();
        assert_eq!(Quantity::parse("300 mV"), Ok(sum));
        assert_eq!(Quantity::from_f64(f64::INFINITY, Dimension::VOLTAGE), None);
    }

    #[test]
    fn is_one_readable_string_in_json() {
        for (text, json) in [
            ("12.3 mA", "\"0.0123 A\""),
            ("15 %", "\"0.15\""),
            ("-3 dB", "\"-3 dB\""),
            ("54 degC", "\"54 degC\""),
            ("2 A*s", "\"2 C\""),
            ("3 V/min", "\"0.05 V/s\""),
            ("1e60 QV", "\"1e90 V\""),
        ] {
            let quantity = Quantity::parse(text).unwrap();
            assert_eq!(serde_json::to_string(&quantity).unwrap(), json);
            assert_eq!(serde_json::from_str::<Quantity>(json).unwrap(), quantity);
        }
        assert!(serde_json::from_str::<Quantity>("\"1,5 V\"").is_err());
        assert!(serde_json::from_str::<Quantity>("1.5").is_err());
    }

    proptest! {
        #[test]
        fn any_quantity_survives_json(
            coefficient: i64,
            exponent in -80..80_i32,
            volts in -3..4_i8,
            kelvins in -3..4_i8,
        ) {
            let volts = Dimension::VOLTAGE.power(volts).unwrap();
            let dimension = volts.times(Dimension::TEMPERATURE.power(kelvins).unwrap()).unwrap();
            let quantity = Quantity::new(Decimal::new(coefficient, exponent), dimension);
            let json = serde_json::to_string(&quantity).unwrap();
            prop_assert_eq!(serde_json::from_str::<Quantity>(&json).unwrap(), quantity);
        }

        #[test]
        fn any_computed_number_survives_json(number in proptest::num::f64::NORMAL) {
            let quantity = Quantity::from_f64(number, Dimension::VOLTAGE).unwrap();
            let json = serde_json::to_string(&quantity).unwrap();
            prop_assert_eq!(serde_json::from_str::<Quantity>(&json).unwrap(), quantity);
        }
    }
}
