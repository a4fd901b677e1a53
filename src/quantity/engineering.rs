//! Values as people read them: rounded, with the prefix that suits their size.

use super::decimal::Decimal;
use super::prefix;
use super::quantity::Quantity;
use super::unit::Unit;

/// Units that nobody writes with a large prefix.
const SMALL_PREFIXES_ONLY: [&str; 3] = ["s", "K", "m"];

impl Quantity {
    /// Writes the value with `digits` significant digits and a fitting prefix: `1.000 V`, `60.0
    /// mA`, `4.70 kohm`.
    ///
    /// The value is rounded before the prefix is chosen, and zeros that were measured stay.
    /// `preferred` picks the unit, not its prefix; one that takes no prefix (%, dB, degC, min, h,
    /// V/s) is used as it is. A preferred unit of another dimension is passed over.
    pub fn engineering(&self, digits: u32, preferred: Option<&Unit>) -> String {
        self.display(Some(digits.max(1)), preferred)
    }

    /// Writes the value like [`Quantity::engineering`], but with all its digits and no more, as a
    /// limit needs.
    pub fn engineering_exact(&self, preferred: Option<&Unit>) -> String {
        self.display(None, preferred)
    }

    fn display(&self, digits: Option<u32>, preferred: Option<&Unit>) -> String {
        let unit = Unit::fitting(self.dimension, preferred);
        let rounded =
            |number: Decimal| digits.map_or(number, |digits| number.round_significant(digits));
        let Some(stem) = unit.stem() else {
            let number = padded(rounded(unit.from_base(self.value)), digits);
            return join(&number, "", unit.symbol());
        };
        let value = rounded(self.value);
        let power = prefix_power(value, stem);
        let prefix = prefix::symbol(power).unwrap_or_default();
        join(&padded(value.shift(-power), digits), prefix, stem)
    }
}

/// The unit that no bench writes with "milli": `mohm` beside `Mohm` is one letter from a factor of a thousand million.
const WITHOUT_MILLI: &str = "ohm";

/// The power of ten of the prefix that leaves one to three digits before the point, or the next that people write.
pub(super) fn prefix_power(value: Decimal, stem: &str) -> i32 {
    let largest = if SMALL_PREFIXES_ONLY.contains(&stem) { 0 } else { 30 };
    match (value.magnitude().div_euclid(3) * 3).clamp(-30, largest) {
        -3 if stem == WITHOUT_MILLI => 0,
        power => power,
    }
}

/// Writes a number so that it shows `digits` significant digits; zero and an exact number show
/// what they have.
pub(super) fn padded(number: Decimal, digits: Option<u32>) -> String {
    match digits {
        Some(digits) if number.is_plain() && !number.is_zero() => {
            let decimals = i64::from(digits) - 1 - i64::from(number.magnitude());
            number.to_plain(usize::try_from(decimals).unwrap_or(0))
        }
        _ => number.to_string(),
    }
}

fn join(number: &str, prefix: &str, symbol: &str) -> String {
    format!("{number} {prefix}{symbol}").trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;

    fn shown(text: &str, digits: u32, preferred: &str) -> String {
        let unit = Unit::parse(preferred).unwrap();
        Quantity::parse(text).unwrap().engineering(digits, Some(&unit))
    }

    #[test]
    fn rounds_before_it_picks_the_prefix() {
        for (text, shown_as) in [
            ("999.96 mV", "1.000 V"),
            ("999.95 mV", "1.000 V"),
            ("999.94 mV", "999.9 mV"),
            ("-999.96 mV", "-1.000 V"),
            ("1000.4 mV", "1.000 V"),
            ("0.99996 kV", "1.000 kV"),
            ("99.996 mV", "100.0 mV"),
            ("9.9996 mV", "10.00 mV"),
        ] {
            assert_eq!(shown(text, 4, "V"), shown_as, "{text}");
        }
    }

    #[test]
    fn every_decade_edge_keeps_its_digits() {
        // Rounding up at a power of ten moves to the next prefix only at every third power.
        for power in -29..30_i32 {
            let edge = Quantity::new(Decimal::new(1, power), crate::quantity::Dimension::VOLTAGE);
            let below = Quantity::new(Decimal::new(99_996, power - 5), edge.dimension);
            let (prefix_power, place) = (power.div_euclid(3) * 3, power.rem_euclid(3));
            let number = ["1.000", "10.00", "100.0"]
                .into_iter()
                .nth(usize::try_from(place).unwrap())
                .unwrap();
            let expected = format!("{number} {}V", prefix::symbol(prefix_power).unwrap_or(""));
            assert_eq!(edge.engineering(4, None), expected);
            assert_eq!(below.engineering(4, None), expected);
        }
    }

    #[test]
    fn shows_as_many_digits_as_asked() {
        for (digits, shown_as) in
            [(0, "100 ohm"), (1, "100 ohm"), (2, "120 ohm"), (3, "123 ohm"), (5, "123.00 ohm")]
        {
            assert_eq!(shown("123 ohm", digits, "kohm"), shown_as);
        }
        assert_eq!(shown("0 V", 4, "V"), "0 V");
    }

    #[test]
    fn the_preferred_unit_gives_the_symbol_not_the_prefix() {
        assert_eq!(shown("1.2 A", 3, "mA"), "1.20 A");
        assert_eq!(shown("1.2 kW", 3, "VA"), "1.20 kVA");
        assert_eq!(shown("4.7 k\u{3a9}", 2, "\u{3a9}"), "4.7 kohm");
        assert_eq!(shown("3 V", 2, "A"), "3.0 V");
        assert_eq!(Quantity::parse("1.2 kW").unwrap().engineering(3, None), "1.20 kW");
    }

    #[test]
    fn some_units_never_get_a_prefix() {
        for (text, unit, shown_as) in [
            ("0.1234", "%", "12.3 %"),
            ("0.00001", "%", "0.00100 %"),
            ("50", "", "50.0"),
            ("12345", "", "12300"),
            ("-30.04 dB", "dB", "-30.0 dB"),
            ("0.05 degC", "degC", "0.0500 degC"),
            ("5400 s", "h", "1.50 h"),
            ("5400 s", "min", "90.0 min"),
            ("1 mm2", "mm2", "1.00 mm2"),
            ("5 kV/s", "V/s", "5000 V/s"),
        ] {
            assert_eq!(shown(text, 3, unit), shown_as);
        }
    }

    #[test]
    fn seconds_kelvins_and_metres_get_small_prefixes_only() {
        assert_eq!(shown("1800 s", 4, "s"), "1800 s");
        assert_eq!(shown("0.0018 s", 2, "s"), "1.8 ms");
        assert_eq!(shown("1500 K", 4, "K"), "1500 K");
        assert_eq!(shown("1500 m", 4, "m"), "1500 m");
    }

    #[test]
    fn ohms_are_never_written_with_milli() {
        for (text, shown_as) in [
            ("400 mohm", "0.400 ohm"),
            ("999.6 mohm", "1.00 ohm"),
            ("19.04 mohm", "0.0190 ohm"),
            ("1 mohm", "0.00100 ohm"),
            ("999.4 uohm", "999 uohm"),
            ("0.4 Mohm", "400 kohm"),
        ] {
            assert_eq!(shown(text, 3, "ohm"), shown_as, "{text}");
        }
    }

    #[test]
    fn stays_readable_beyond_the_prefixes() {
        assert_eq!(shown("2e33 V", 2, "V"), "2000 QV");
        assert_eq!(shown("2e-33 V", 2, "V"), "0.0020 qV");
        assert_eq!(shown("1e20", 2, ""), "1e20");
    }

    #[test]
    fn an_exact_value_shows_all_its_digits_and_no_more() {
        let exact = |text: &str, unit: &str| {
            Quantity::parse(text).unwrap().engineering_exact(Some(&Unit::parse(unit).unwrap()))
        };
        assert_eq!(exact("15 %", "%"), "15 %");
        assert_eq!(exact("36 mA", "A"), "36 mA");
        assert_eq!(exact("999.96 mV", "V"), "999.96 mV");
        assert_eq!(exact("10000 ohm", "ohm"), "10 kohm");
        assert_eq!(exact("0 V", "V"), "0 V");
    }
}
