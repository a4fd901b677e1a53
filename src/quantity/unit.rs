//! Units of measure.

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::decimal::{DIGITS_COMPUTED, Decimal};
use super::dimension::Dimension;
use super::unit_symbols::{UNITS, find, guess};

/// A unit of measure as it was written, with what it is in base units.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Unit {
    symbol: String,
    dimension: Dimension,
    /// The size in base units is `factor / divisor`: two numbers, as a per-minute unit has no exact
    /// decimal size.
    factor: Decimal,
    divisor: Decimal,
    /// The unit without its prefix, where it takes prefixes.
    stem: Option<&'static str>,
}

/// Why a text is not a unit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum UnitError {
    /// No such unit.
    #[error("unknown unit `{text}`{}", did_you_mean(.guess))]
    Unknown {
        /// What was written.
        text: String,
        /// What it may have meant.
        guess: Option<String>,
    },
    /// Units that cannot be multiplied or divided.
    #[error("`{0}` has no meaning: use K for a temperature difference, and no dB beside dB")]
    Meaningless(String),
}

/// Ends an "unknown unit" message.
fn did_you_mean(guess: &Option<String>) -> String {
    match guess {
        Some(guess) => format!("; did you mean `{guess}`?"),
        None => "; write one like V, mA, kohm, uF, Hz, s, degC, % or dB".to_owned(),
    }
}

/// Products and quotients that read better than their base units.
const COMPOUNDS: [&str; 13] =
    ["V/s", "A/s", "W/s", "K/s", "dB/s", "K/W", "W/K", "V/K", "V/m", "ohm/m", "F/m", "V*s", "dB/m"];

impl Unit {
    /// Reads a unit: a symbol with its prefix, a product or quotient of two, or base units with
    /// powers.
    ///
    /// `kohm`, `%/min`, `A*h`, `kg m2 s-3`; an empty text is the unit of a pure number. Errors with
    /// a guess where upper and lower case slipped.
    pub fn parse(text: &str) -> Result<Unit, UnitError> {
        let text = text.trim();
        if text.is_empty() {
            return Ok(Unit::base(Dimension::NONE));
        }
        if let Some(unit) = Unit::single(text) {
            return Ok(unit);
        }
        if let Some((left, right)) = text.split_once('/') {
            return Unit::quotient(text, &Unit::part(left, text)?, &Unit::part(right, text)?);
        }
        if let Some((left, right)) = text.split_once('*') {
            return Unit::product(text, &Unit::part(left, text)?, &Unit::part(right, text)?);
        }
        match Dimension::from_base_form(text) {
            Some(dimension) => Ok(Unit::plain(text, dimension)),
            None => Err(unknown(text)),
        }
    }

    /// Gives the preferred unit where it is of this dimension, else the base unit.
    pub(super) fn fitting(dimension: Dimension, preferred: Option<&Unit>) -> Unit {
        let fits = preferred.filter(|unit| unit.dimension() == dimension);
        fits.cloned().unwrap_or_else(|| Unit::base(dimension))
    }

    /// Gives the base unit of a dimension, the one every value is kept in.
    pub fn base(dimension: Dimension) -> Unit {
        if dimension == Dimension::NONE {
            return Unit::plain("", dimension);
        }
        let named = UNITS.iter().find(|unit| unit.dimension == dimension);
        let single = named.and_then(|unit| Unit::single(unit.symbol));
        let compound = || {
            COMPOUNDS
                .iter()
                .filter_map(|text| Unit::parse(text).ok())
                .find(|u| u.dimension == dimension)
        };
        single.or_else(compound).unwrap_or_else(|| Unit::plain(&dimension.base_form(), dimension))
    }

    /// The symbol as it was written; empty for a pure number.
    pub fn symbol(&self) -> &str {
        &self.symbol
    }

    /// The dimension it measures.
    pub fn dimension(&self) -> Dimension {
        self.dimension
    }

    /// The size in base units; rounded to 12 digits for units like `%/min`, exact for all others.
    pub fn factor(&self) -> Decimal {
        self.to_base(Decimal::ONE).unwrap_or(self.factor)
    }

    /// Whether an SI prefix may be written on it, as on V and not on min, % or degC.
    pub fn takes_prefix(&self) -> bool {
        self.stem.is_some()
    }

    /// Converts a number of this unit to base units; `None` when that has too many digits.
    pub fn to_base(&self, number: Decimal) -> Option<Decimal> {
        number.checked_mul(self.factor)?.checked_div(self.divisor)
    }

    /// Converts a number of base units to this unit, exactly or else rounded to 12 digits.
    pub fn from_base(&self, number: Decimal) -> Decimal {
        let divide = |number: Decimal| number.checked_mul(self.divisor)?.checked_div(self.factor);
        divide(number)
            .or_else(|| divide(number.round_significant(DIGITS_COMPUTED)))
            .expect("a unit's size is neither zero nor long")
    }

    /// The unit without its prefix, in ASCII, where it takes prefixes.
    pub(super) fn stem(&self) -> Option<&'static str> {
        self.stem
    }

    /// A unit of size one.
    fn plain(symbol: &str, dimension: Dimension) -> Unit {
        Unit {
            symbol: symbol.to_owned(),
            dimension,
            factor: Decimal::ONE,
            divisor: Decimal::ONE,
            stem: None,
        }
    }

    /// A unit from the table, with its prefix.
    fn single(text: &str) -> Option<Unit> {
        let (named, power) = find(text)?;
        let (size, places) = named.factor;
        Some(Unit {
            symbol: text.to_owned(),
            dimension: named.dimension,
            factor: Decimal::new(size, places).shift(power),
            divisor: Decimal::ONE,
            stem: named.prefixes.then_some(named.symbol),
        })
    }

    /// A part of a product or quotient; of one that is missing the whole is told.
    fn part(text: &str, whole: &str) -> Result<Unit, UnitError> {
        Unit::single(text).ok_or_else(|| unknown(if text.is_empty() { whole } else { text }))
    }

    fn quotient(text: &str, left: &Unit, right: &Unit) -> Result<Unit, UnitError> {
        let dimension = left.dimension.over(right.dimension).ok_or_else(|| meaningless(text))?;
        let unit = Unit::plain(text, dimension);
        Ok(Unit { factor: left.factor, divisor: right.factor, ..unit })
    }

    fn product(text: &str, left: &Unit, right: &Unit) -> Result<Unit, UnitError> {
        let dimension = left.dimension.times(right.dimension).ok_or_else(|| meaningless(text))?;
        let factor = left.factor.checked_mul(right.factor).ok_or_else(|| meaningless(text))?;
        Ok(Unit { factor, ..Unit::plain(text, dimension) })
    }
}

fn unknown(text: &str) -> UnitError {
    UnitError::Unknown { text: text.to_owned(), guess: guess(text, None) }
}

fn meaningless(text: &str) -> UnitError {
    UnitError::Meaningless(text.to_owned())
}

impl Serialize for Unit {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.symbol)
    }
}

impl<'de> Deserialize<'de> for Unit {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Unit, D::Error> {
        let text = String::deserialize(deserializer)?;
        Unit::parse(&text).map_err(serde::de::Error::custom)
    }
}

/// As the symbol of its base unit.
impl Serialize for Dimension {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        Unit::base(*self).serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for Dimension {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Dimension, D::Error> {
        Ok(Unit::deserialize(deserializer)?.dimension())
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;

    fn unit(text: &str) -> Unit {
        Unit::parse(text).unwrap()
    }

    #[test]
    fn knows_sizes_and_dimensions() {
        use Dimension as D;
        for (text, dimension, size) in [
            ("V", D::VOLTAGE, "1"),
            ("mA", D::CURRENT, "0.001"),
            ("kohm", D::RESISTANCE, "1e3"),
            ("M\u{3a9}", D::RESISTANCE, "1e6"),
            ("kVA", D::POWER, "1000"),
            ("\u{3bc}F", D::CAPACITANCE, "1e-6"),
            ("qs", D::TIME, "1e-30"),
            ("QHz", D::FREQUENCY, "1e30"),
            ("h", D::TIME, "3600"),
            ("%", D::NONE, "0.01"),
            ("", D::NONE, "1"),
            ("\u{b0}C", D::CELSIUS, "1"),
            ("mm2", D::AREA, "1e-6"),
            ("A*h", D::CHARGE, "3600"),
            ("mA*h", D::CHARGE, "3.6"),
            ("V/ms", D::VOLTAGE.over(D::TIME).unwrap(), "1000"),
            ("%/min", D::FREQUENCY, "0.000166666666667"),
            ("ohm/m", D::RESISTANCE.over(D::LENGTH).unwrap(), "1"),
            ("kg m2 s-3 K-1", D::POWER.over(D::TEMPERATURE).unwrap(), "1"),
        ] {
            let unit = unit(text);
            assert_eq!(unit.dimension(), dimension, "{text}");
            assert_eq!(unit.factor(), Decimal::parse(size).unwrap(), "{text}");
            assert_eq!(unit.symbol(), text);
        }
    }

    #[test]
    fn per_minute_values_stay_exact_where_they_can() {
        let per_minute = unit("%/min");
        let six = Decimal::new(6, 0);
        assert_eq!(per_minute.to_base(six), Some(Decimal::new(1, -3)));
        assert_eq!(per_minute.from_base(Decimal::new(1, -3)), six);
        let one = per_minute.to_base(Decimal::ONE).unwrap();
        assert_eq!(per_minute.from_base(one).round_significant(11), Decimal::ONE);
    }

    #[test]
    fn converts_numbers_of_any_length() {
        let long = Decimal::parse("1.23456789012345678901234567891").unwrap();
        assert_eq!(unit("kV").from_base(long), long.shift(-3));
        assert_eq!(
            unit("min").to_base(unit("min").from_base(long)).unwrap().round_significant(11),
            long.round_significant(11)
        );
        let longest = Decimal::parse_stored("9.2345678901234567890123456789012345678").unwrap();
        assert_eq!(unit("%/min").from_base(longest), Decimal::parse("55407.40734072").unwrap());
    }

    #[test]
    fn hints_at_slips() {
        let message = |text: &str| Unit::parse(text).unwrap_err().to_string();
        assert_eq!(message("khz"), "unknown unit `khz`; did you mean `kHz`?");
        assert_eq!(message("v/s"), "unknown unit `v`; did you mean `V`?");
        let of_no_unit = "; write one like V, mA, kohm, uF, Hz, s, degC, % or dB";
        assert_eq!(message("/2A"), format!("unknown unit `/2A`{of_no_unit}"));
        assert_eq!(message("V/"), format!("unknown unit `V/`{of_no_unit}"));
        assert_eq!(
            message("V/s/s"),
            "unknown unit `s/s`; write one like V, mA, kohm, uF, Hz, s, degC, % or dB"
        );
        assert_eq!(Unit::parse("degC/W"), Err(UnitError::Meaningless("degC/W".to_owned())));
        assert_eq!(Unit::parse("dB*dB"), Err(UnitError::Meaningless("dB*dB".to_owned())));
    }

    #[test]
    fn base_units_read_back_as_themselves() {
        use Dimension as D;
        let ramp = D::VOLTAGE.over(D::TIME).unwrap();
        let square = D::VOLTAGE.power(2).unwrap();
        let symbols = [
            (D::NONE, ""),
            (D::POWER, "W"),
            (D::CELSIUS, "degC"),
            (ramp, "V/s"),
            (D::AREA, "m2"),
            (square, "kg2 m4 s-6 A-2"),
        ];
        for (dimension, symbol) in symbols {
            let base = Unit::base(dimension);
            assert_eq!((base.symbol(), base.factor()), (symbol, Decimal::ONE));
            assert_eq!(unit(symbol), base);
        }
        for compound in COMPOUNDS {
            assert_eq!(Unit::base(unit(compound).dimension()).symbol(), compound);
        }
    }

    #[test]
    fn is_its_symbol_in_json() {
        let json = serde_json::to_string(&unit("k\u{3a9}")).unwrap();
        assert_eq!(json, "\"k\u{3a9}\"");
        assert_eq!(serde_json::from_str::<Unit>(&json).unwrap(), unit("k\u{3a9}"));
        assert!(serde_json::from_str::<Unit>("\"v\"").is_err());
    }
}
