//! A value with its uncertainty, both rounded to what the uncertainty leaves of them.

use super::decimal::Decimal;
use super::dimension::Dimension;
use super::engineering::{padded, prefix_power};
use super::prefix;
use super::quantity::Quantity;
use super::unit::Unit;

/// Significant digits of an uncertainty: at most two are worth stating (JCGM 100:2008 (GUM) 7.2.6).
const DIGITS: u32 = 2;

impl Quantity {
    /// Writes the value and its uncertainty in one unit: `41.90 mA ± 0.25 mA`.
    ///
    /// The uncertainty keeps two significant digits and the value ends at the same place (GUM 7.2.6). The doubt of a Celsius
    /// temperature is in K. `None` for a doubt of zero, and where the two have no digits in common to show.
    #[must_use]
    pub fn with_doubt(&self, doubt: &Quantity, preferred: Option<&Unit>) -> Option<String> {
        let unit = Unit::fitting(self.dimension, preferred);
        let doubt = doubt.value.abs().round_significant(DIGITS);
        if doubt.is_zero() {
            return None;
        }
        let symbol_and_power = unit.stem().map(|stem| {
            let largest = if self.value.abs() < doubt { doubt } else { self.value };
            let power = prefix_power(largest, stem);
            (format!("{}{stem}", prefix::symbol(power).unwrap_or_default()), power)
        });
        let (symbol, value, doubt) = match symbol_and_power {
            Some((symbol, power)) => (symbol, self.value.shift(-power), doubt.shift(-power)),
            None => {
                let scaled = doubt.checked_div(unit.factor())?;
                (unit.symbol().to_owned(), unit.from_base(self.value), scaled)
            }
        };
        let place = doubt.magnitude() + 1 - DIGITS.cast_signed();
        let decimals = usize::try_from(-place).unwrap_or(0);
        let value = rounded_at(value, place);
        if !value.is_plain() || !doubt.is_plain() {
            return None;
        }
        let shown = |number: Decimal, symbol: &str| {
            format!("{} {symbol}", number.to_plain(decimals)).trim_end().to_owned()
        };
        let difference = if self.dimension == Dimension::CELSIUS { "K" } else { &symbol };
        Some(format!("{} ± {}", shown(value, &symbol), shown(doubt, difference)))
    }
}

impl Quantity {
    /// Writes the uncertainty with the prefix that the value is written with: `0.25 mA` beside `41.9 mA`. One that is larger
    /// than its value has its own.
    #[must_use]
    pub fn doubt_beside(&self, doubt: &Quantity, preferred: Option<&Unit>) -> String {
        let unit = Unit::fitting(doubt.dimension, preferred);
        let rounded = doubt.value.round_significant(DIGITS);
        let (Some(stem), true) = (unit.stem(), self.value.abs() >= rounded.abs()) else {
            return doubt.engineering(DIGITS, preferred);
        };
        let power = prefix_power(self.value, stem);
        let (prefix, shown) = (prefix::symbol(power).unwrap_or_default(), rounded.shift(-power));
        format!("{} {prefix}{stem}", padded(shown, Some(DIGITS)))
    }
}

/// Rounds to a power of ten, halves away from zero.
fn rounded_at(value: Decimal, place: i32) -> Decimal {
    let digits = value.magnitude() + 1 - place;
    if value.is_zero() || digits < 0 {
        return Decimal::ZERO;
    }
    if digits == 0 {
        // All digits are behind the place: it is one of them or zero.
        let half = Decimal::new(5, place - 1);
        let one = Decimal::new(1, place);
        let up = value.abs() >= half;
        return match (up, value.is_negative()) {
            (false, _) => Decimal::ZERO,
            (true, false) => one,
            (true, true) => one.neg(),
        };
    }
    value.round_significant(digits.cast_unsigned())
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;

    fn shown(value: &str, doubt: &str, unit: &str) -> Option<String> {
        let unit = Unit::parse(unit).unwrap();
        let doubt = Quantity::parse(doubt).unwrap();
        Quantity::parse(value).unwrap().with_doubt(&doubt, Some(&unit))
    }

    #[test]
    fn the_value_ends_where_its_uncertainty_does() {
        // JCGM 100:2008 (GUM) 7.2.6: y = 10.057 62 ohm with 27 mohm is rounded to 10.058 ohm; 28.05 kHz is rounded to
        // 28 kHz.
        let gum = shown("10.05762 ohm", "27 mohm", "ohm");
        assert_eq!(gum.unwrap(), "10.058 ohm ± 0.027 ohm");
        assert_eq!(shown("1 MHz", "28.05 kHz", "Hz").unwrap(), "1.000 MHz ± 0.028 MHz");
        // GUM 7.2.2: 100.021 47 g with 0.35 mg is stated as 100.021 47 with (35) in the last places; as amperes here,
        // because a bench weighs nothing.
        assert_eq!(shown("100.02147 A", "0.35 mA", "A").unwrap(), "100.02147 A ± 0.00035 A");
    }

    #[test]
    fn both_stand_in_the_same_unit() {
        for (value, doubt, unit, words) in [
            ("41.9 mA", "0.2549 mA", "mA", "41.90 mA ± 0.25 mA"),
            ("0 V", "3 mV", "V", "0.0 mV ± 3.0 mV"),
            ("-12.3456 V", "0.1 V", "V", "-12.35 V ± 0.10 V"),
            ("2 mV", "3 mV", "V", "2.0 mV ± 3.0 mV"),
            ("0.4 mV", "30 mV", "V", "0 mV ± 30 mV"),
            ("0.6 mV", "30 mV", "V", "1 mV ± 30 mV"),
            ("-0.6 mV", "30 mV", "V", "-1 mV ± 30 mV"),
            ("12.34 %", "0.5 %", "%", "12.34 % ± 0.50 %"),
            ("54.2 degC", "1.5 K", "degC", "54.2 degC ± 1.5 K"),
            ("4321 V", "1.2 kV", "V", "4.3 kV ± 1.2 kV"),
        ] {
            assert_eq!(shown(value, doubt, unit).as_deref(), Some(words), "{value} with {doubt}");
        }
    }

    #[test]
    fn a_doubt_beside_its_value_has_the_same_prefix() {
        for (value, doubt, unit, words) in [
            ("8.75 ohm", "23 mohm", "ohm", "0.023 ohm"),
            ("0.1799 ohm", "2 mohm", "ohm", "0.0020 ohm"),
            ("514.9 mV", "680 uV", "V", "0.68 mV"),
            ("1 MHz", "28.05 kHz", "Hz", "0.028 MHz"),
            ("2 uV", "3 mV", "V", "3.0 mV"),
            ("0 V", "3 mV", "V", "3.0 mV"),
            ("98.74 %", "0.94 %", "%", "0.94 %"),
            ("54.2 degC", "1.5 K", "degC", "1.5 K"),
            ("1.000001 kV", "0.1 uV", "V", "0.00000000010 kV"),
        ] {
            let doubt = Quantity::parse(doubt).unwrap();
            let unit = Unit::parse(unit).unwrap();
            let shown = Quantity::parse(value).unwrap().doubt_beside(&doubt, Some(&unit));
            assert_eq!(shown, words, "{value}");
        }
    }

    #[test]
    fn an_exact_value_has_no_doubt_to_show() {
        assert_eq!(shown("1 V", "0 V", "V"), None);
    }
}
