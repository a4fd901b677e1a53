//! Exact decimal numbers, so that a limit typed as 0.3 is 0.3.

use std::cmp::Ordering;
use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::decimal_text::{DecimalError, STORED, WRITTEN, read};

/// Most digits a coefficient ever has; ten to this power still fits an `i128`.
pub(super) const DIGITS_KEPT: u32 = 38;

/// Digits a computed value is rounded to: far finer than any meter, coarser than the noise of
/// binary arithmetic.
pub(super) const DIGITS_COMPUTED: u32 = 12;

/// Digits a division is carried to before it counts as having no exact result.
const DIGITS_DIVIDED: u32 = 30;

/// An exact decimal number: a whole coefficient times a power of ten.
///
/// Trailing zeros are dropped, so equal numbers are equal field by field.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Decimal {
    coefficient: i128,
    exponent: i32,
}

impl Decimal {
    /// Zero.
    pub const ZERO: Decimal = Decimal { coefficient: 0, exponent: 0 };
    /// One.
    pub const ONE: Decimal = Decimal { coefficient: 1, exponent: 0 };

    /// Makes `coefficient` x 10^`exponent`.
    pub const fn new(coefficient: i64, exponent: i32) -> Decimal {
        Decimal::normalised(coefficient as i128, exponent)
    }

    /// Reads a number as people and files write it: `-12.3`, `.5`, `1.2e6`; U+2212 is a minus too.
    ///
    /// Errors on everything else: commas, gaps, `nan`, more than 30 digits, powers of ten beyond
    /// 60.
    pub fn parse(text: &str) -> Result<Decimal, DecimalError> {
        read(text, WRITTEN)
    }

    /// Reads a number as [`Display`](fmt::Display) printed it, however it was computed.
    pub(super) fn parse_stored(text: &str) -> Result<Decimal, DecimalError> {
        read(text, STORED)
    }

    /// Takes a computed number, rounded to 12 significant digits so that binary noise cannot move a
    /// limit.
    ///
    /// `None` for infinities and for what is not a number.
    pub fn from_f64(number: f64) -> Option<Decimal> {
        if !number.is_finite() {
            return None;
        }
        let decimals = DIGITS_COMPUTED as usize - 1;
        Decimal::parse_stored(&format!("{number:.decimals$e}")).ok()
    }

    /// Gives the nearest binary number.
    pub fn to_f64(self) -> f64 {
        // The standard library's reading of decimal text is correctly rounded; a product of two
        // roundings is not.
        format!("{}e{}", self.coefficient, self.exponent).parse().unwrap_or(f64::NAN)
    }

    /// Multiplies by 10^`places`, exactly.
    #[must_use]
    pub const fn shift(self, places: i32) -> Decimal {
        if self.coefficient == 0 {
            return self;
        }
        Decimal { coefficient: self.coefficient, exponent: self.exponent.saturating_add(places) }
    }

    /// Changes the sign.
    #[must_use]
    pub const fn neg(self) -> Decimal {
        Decimal { coefficient: -self.coefficient, exponent: self.exponent }
    }

    /// Drops the sign.
    #[must_use]
    pub const fn abs(self) -> Decimal {
        Decimal { coefficient: self.coefficient.abs(), exponent: self.exponent }
    }

    /// Whether this is zero.
    pub const fn is_zero(self) -> bool {
        self.coefficient == 0
    }

    /// Whether this is below zero.
    pub const fn is_negative(self) -> bool {
        self.coefficient < 0
    }

    /// Gives the power of ten of the leading digit: 2 for 999, -3 for 0.0012, 0 for zero.
    pub fn magnitude(self) -> i32 {
        self.exponent.saturating_add_unsigned(self.digit_count().saturating_sub(1))
    }

    /// Rounds to `digits` significant digits (at least one), halves away from zero.
    #[must_use]
    pub fn round_significant(self, digits: u32) -> Decimal {
        let excess = self.digit_count().saturating_sub(digits.max(1));
        let unit = 10_i128.pow(excess);
        let (kept, dropped) = (self.coefficient / unit, (self.coefficient % unit).abs());
        let away =
            if excess > 0 && dropped >= unit - dropped { self.coefficient.signum() } else { 0 };
        Decimal::normalised(kept + away, self.exponent.saturating_add_unsigned(excess))
    }

    /// Multiplies exactly; `None` when the product has too many digits.
    pub fn checked_mul(self, other: Decimal) -> Option<Decimal> {
        let coefficient = self.coefficient.checked_mul(other.coefficient)?;
        Decimal::kept(coefficient, self.exponent.checked_add(other.exponent)?)
    }

    /// Adds exactly; `None` when the sum has too many digits.
    pub fn checked_add(self, other: Decimal) -> Option<Decimal> {
        if self.is_zero() {
            return Some(other);
        }
        if other.is_zero() {
            return Some(self);
        }
        let exponent = self.exponent.min(other.exponent);
        let sum = self.coefficient_at(exponent)?.checked_add(other.coefficient_at(exponent)?)?;
        Decimal::kept(sum, exponent)
    }

    /// Divides: exactly where the result ends within 30 digits, otherwise rounded to 12 significant
    /// digits.
    ///
    /// `None` for a division by zero or by a number of more than 37 digits.
    pub fn checked_div(self, other: Decimal) -> Option<Decimal> {
        let divisor = other.coefficient.unsigned_abs();
        let whole = self.coefficient.unsigned_abs();
        let (mut quotient, mut rest) = (whole.checked_div(divisor)?, whole.checked_rem(divisor)?);
        let mut exponent = self.exponent.checked_sub(other.exponent)?;
        while rest != 0 && quotient < 10_u128.pow(DIGITS_DIVIDED) {
            rest = rest.checked_mul(10)?;
            quotient = quotient * 10 + rest / divisor;
            rest %= divisor;
            exponent = exponent.checked_sub(1)?;
        }
        let sign = self.coefficient.signum() * other.coefficient.signum();
        let result = Decimal::kept(sign * i128::try_from(quotient).ok()?, exponent)?;
        Some(if rest == 0 { result } else { result.round_significant(DIGITS_COMPUTED) })
    }

    /// Writes the number without an exponent, with at least `decimals` digits after the point.
    pub(super) fn to_plain(self, decimals: usize) -> String {
        let sign = if self.is_negative() { "-" } else { "" };
        let zeros = usize::try_from(self.exponent).unwrap_or(0);
        let places =
            usize::try_from(self.exponent.unsigned_abs()).unwrap_or(0).saturating_sub(zeros);
        let digits = format!("{}{}", self.coefficient.unsigned_abs(), "0".repeat(zeros));
        let digits = format!("{digits:0>width$}", width = places + 1);
        let (whole, fraction) = digits.split_at(digits.len() - places);
        match format!("{fraction:0<decimals$}").as_str() {
            "" => format!("{sign}{whole}"),
            fraction => format!("{sign}{whole}.{fraction}"),
        }
    }

    /// Whether the number reads well without an exponent.
    pub(super) fn is_plain(self) -> bool {
        (-12..15).contains(&self.magnitude())
    }

    /// Drops trailing zeros, which makes equal numbers equal field by field.
    pub(super) const fn normalised(mut coefficient: i128, mut exponent: i32) -> Decimal {
        if coefficient == 0 {
            return Decimal::ZERO;
        }
        while coefficient % 10 == 0 {
            coefficient /= 10;
            exponent = exponent.saturating_add(1);
        }
        Decimal { coefficient, exponent }
    }

    /// Normalises, and refuses what has more digits than are kept.
    fn kept(coefficient: i128, exponent: i32) -> Option<Decimal> {
        let decimal = Decimal::normalised(coefficient, exponent);
        (decimal.digit_count() <= DIGITS_KEPT).then_some(decimal)
    }

    /// The number of digits of the coefficient; none for zero.
    fn digit_count(self) -> u32 {
        self.coefficient.unsigned_abs().checked_ilog10().map_or(0, |log| log + 1)
    }

    /// The coefficient this number has at a lower exponent.
    fn coefficient_at(self, exponent: i32) -> Option<i128> {
        let places = u32::try_from(self.exponent.checked_sub(exponent)?).ok()?;
        self.coefficient.checked_mul(10_i128.checked_pow(places)?)
    }

    /// Compares sizes, signs aside.
    fn cmp_abs(self, other: Decimal) -> Ordering {
        if self.is_zero() || other.is_zero() {
            return other.is_zero().cmp(&self.is_zero());
        }
        self.magnitude().cmp(&other.magnitude()).then_with(|| {
            let exponent = self.exponent.min(other.exponent);
            let (left, right) =
                (self.abs().coefficient_at(exponent), other.abs().coefficient_at(exponent));
            match (left, right) {
                (Some(left), Some(right)) => left.cmp(&right),
                // Equal leading places differ by fewer digits than are kept, so only the one that
                // was scaled up can overflow, and then it is the larger.
                (None, _) => Ordering::Greater,
                (_, None) => Ordering::Less,
            }
        })
    }
}

impl Ord for Decimal {
    fn cmp(&self, other: &Decimal) -> Ordering {
        let signs = self.coefficient.signum().cmp(&other.coefficient.signum());
        signs.then_with(|| match self.is_negative() {
            true => other.cmp_abs(*self),
            false => self.cmp_abs(*other),
        })
    }
}

impl PartialOrd for Decimal {
    fn partial_cmp(&self, other: &Decimal) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl fmt::Display for Decimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_plain() {
            return f.pad(&self.to_plain(0));
        }
        let magnitude = self.magnitude();
        f.pad(&format!("{}e{magnitude}", self.shift(magnitude.saturating_neg()).to_plain(0)))
    }
}

impl Serialize for Decimal {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Decimal {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Decimal, D::Error> {
        let text = String::deserialize(deserializer)?;
        Decimal::parse_stored(&text).map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::*;

    fn decimal(text: &str) -> Decimal {
        Decimal::parse(text).unwrap()
    }

    #[test]
    fn displays_plainly_within_reach_and_with_an_exponent_beyond() {
        for (text, shown) in [
            ("0", "0"),
            ("-0.0123", "-0.0123"),
            ("1e-12", "0.000000000001"),
            ("9.9e-13", "9.9e-13"),
            ("9.99e14", "999000000000000"),
            ("1e15", "1e15"),
            ("-1.25e40", "-1.25e40"),
        ] {
            assert_eq!(decimal(text).to_string(), shown);
        }
    }

    #[test]
    fn rounds_halves_away_from_zero() {
        for (text, digits, rounded) in [
            ("0.99996", 4, "1"),
            ("0.99994", 4, "0.9999"),
            ("1.25", 2, "1.3"),
            ("-1.25", 2, "-1.3"),
            ("1.2499999", 2, "1.2"),
            ("123", 5, "123"),
            ("155", 0, "200"),
            ("0", 3, "0"),
        ] {
            assert_eq!(decimal(text).round_significant(digits), decimal(rounded), "{text}");
        }
    }

    #[test]
    fn drops_binary_noise() {
        assert_eq!(Decimal::from_f64(0.1 + 0.2), Some(decimal("0.3")));
        assert_eq!(Decimal::from_f64(-1.0 / 3.0), Some(decimal("-0.333333333333")));
        assert_eq!(Decimal::from_f64(0.0), Some(Decimal::ZERO));
        assert_eq!(Decimal::from_f64(f64::NAN), None);
        assert_eq!(Decimal::from_f64(f64::NEG_INFINITY), None);
    }

    #[test]
    fn converts_to_the_nearest_binary_number() {
        for (text, nearest) in [("0.1", 0.1), ("1e23", 1e23), ("8.5e-5", 8.5e-5), ("-0.3", -0.3)] {
            assert_eq!(decimal(text).to_f64().to_bits(), f64::to_bits(nearest), "{text}");
        }
    }

    #[test]
    fn tells_the_place_of_the_leading_digit() {
        for (text, place) in [("999", 2), ("1000", 3), ("0.0012", -3), ("0", 0), ("-5", 0)] {
            assert_eq!(decimal(text).magnitude(), place, "{text}");
        }
    }

    #[test]
    fn adds_multiplies_and_divides_exactly_or_not_at_all() {
        assert_eq!(decimal("0.1").checked_add(decimal("0.2")), Some(decimal("0.3")));
        assert_eq!(decimal("1e60").checked_add(decimal("1e-60")), None);
        assert_eq!(decimal("1e60").checked_add(Decimal::ZERO), Some(decimal("1e60")));
        assert_eq!(decimal("1.1").checked_mul(decimal("-1.1")), Some(decimal("-1.21")));
        let long = decimal("123456789012345678901234567891");
        assert_eq!(long.checked_mul(long), None);
        assert_eq!(decimal("6").checked_div(decimal("-60")), Some(decimal("-0.1")));
        assert_eq!(decimal("1").checked_div(decimal("3600")), Some(decimal("0.000277777777778")));
        assert_eq!(decimal("1").checked_div(Decimal::ZERO), None);
    }

    #[test]
    fn orders_numbers_whose_common_scale_would_not_fit() {
        // 38 digits beside one digit at the same leading place.
        let long = Decimal::parse_stored("8.9999999999999999999999999999999999999").unwrap();
        assert!(decimal("9") > long);
        assert!(decimal("8") < long);
        assert!(decimal("-9") < long.neg());
        assert!(decimal("1e60") > decimal("1e-60"));
        assert!(decimal("-1e60") < decimal("-1e-60"));
        assert!(decimal("1e-60") > Decimal::ZERO);
        assert!(Decimal::ZERO > decimal("-1e-60"));
    }

    #[test]
    fn stays_exact_in_json() {
        let number = decimal("-123456789012345678901234567890e-45");
        let json = serde_json::to_string(&number).unwrap();
        assert_eq!(json, "\"-1.2345678901234567890123456789e-16\"");
        assert_eq!(serde_json::from_str::<Decimal>(&json).unwrap(), number);
        assert!(
            serde_json::from_str::<Decimal>("1.5").is_err(),
            "a bare number may have been rounded"
        );
    }

    proptest! {
        #[test]
        fn survives_its_own_display(coefficient: i64, exponent in -60..40_i32) {
            let number = Decimal::new(coefficient, exponent);
            prop_assert_eq!(Decimal::parse_stored(&number.to_string()), Ok(number));
        }

        #[test]
        fn shifting_there_and_back_changes_nothing(coefficient: i64, places in -60..60_i32) {
            let number = Decimal::new(coefficient, 0);
            prop_assert_eq!(number.shift(places).shift(-places), number);
        }

        #[test]
        fn orders_as_binary_numbers_do_where_those_are_exact(left: i32, right: i32, halvings in 0..10_i32) {
            // n / 2^k is exact in both: n x 5^k x 10^-k.
            let power = halvings.unsigned_abs();
            let exact = |n: i32| Decimal::normalised(i128::from(n) * 5_i128.pow(power), -halvings);
            let binary = |n: i32| f64::from(n) / f64::from(2_i32.pow(power));
            let order = binary(left).total_cmp(&binary(right));
            prop_assert_eq!(exact(left).cmp(&exact(right)), order);
            prop_assert_eq!(exact(left).to_f64().to_bits(), binary(left).to_bits());
        }

        #[test]
        fn order_and_sum_agree(a: i64, b: i64, p in -8..8_i32, q in -8..8_i32) {
            let (left, right) = (Decimal::new(a, p), Decimal::new(b, q));
            let difference = left.checked_add(right.neg()).unwrap();
            prop_assert_eq!(left.cmp(&right), difference.cmp(&Decimal::ZERO));
        }
    }
}
