//! Decimal numbers in text: what is taken, and what is wrong with the rest.

use serde::{Deserialize, Serialize};

use super::decimal::{DIGITS_KEPT, Decimal};

/// How much of a number is taken from text.
#[derive(Clone, Copy)]
pub(super) struct TakenDigits {
    digits: usize,
    exponent: i64,
}

/// What people and files may write.
pub(super) const WRITTEN: TakenDigits = TakenDigits { digits: 30, exponent: 60 };

/// What a decimal itself may have printed: wider, so that every computed value can be read back.
pub(super) const STORED: TakenDigits = TakenDigits { digits: DIGITS_KEPT as usize, exponent: 1000 };

/// Why a text is not a decimal number.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum DecimalError {
    /// Nothing was written.
    #[error("a number is missing: write one like `12.3`")]
    Empty,
    /// A comma, which could be a decimal point or a thousands separator.
    #[error("`{0}` has a comma: write a point before the decimals and nothing between thousands")]
    Comma(String),
    /// An underscore or a blank inside the number.
    #[error("`{0}` has a gap inside the number: write the digits together, like `1000`")]
    Gap(String),
    /// Not a number, or infinite.
    #[error("`{0}` is not a finite number: write one like `12.3`")]
    NotFinite(String),
    /// A digit from another script.
    #[error("`{0}` has a digit other than 0 to 9: write it with the digits 0 to 9")]
    ForeignDigit(String),
    /// More digits than are kept exactly.
    #[error("`{0}` has more than 30 digits: write fewer")]
    TooManyDigits(String),
    /// A power of ten beyond what is taken.
    #[error("`{0}` is beyond 1e60 or below 1e-60: check the exponent")]
    ExponentTooLarge(String),
    /// Anything else.
    #[error("`{0}` is not a number: write one like `12.3` or `1.2e6`")]
    Malformed(String),
}

/// Splits a leading sign from a text; true for a minus.
pub(super) fn split_sign(text: &str) -> (bool, &str) {
    match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    }
}

/// Splits a text where its leading number ends; the number part may be empty or malformed.
pub(super) fn split_number(text: &str) -> (&str, &str) {
    let (_, unsigned) = split_sign(text);
    let rest = unsigned.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
    // `1.2e6` has an exponent, `1.2 EV` and `1.2e` have not.
    let after_exponent = rest.strip_prefix(['e', 'E']).and_then(|tail| {
        let (_, digits) = split_sign(tail);
        let after = digits.trim_start_matches(|c: char| c.is_ascii_digit());
        (after.len() < digits.len()).then_some(after)
    });
    text.split_at(text.len() - after_exponent.unwrap_or(rest).len())
}

/// Reads a number within limits.
pub(super) fn read(text: &str, limits: TakenDigits) -> Result<Decimal, DecimalError> {
    let (negative, unsigned) = split_sign(text);
    let (mantissa, exponent) = unsigned.split_once(['e', 'E']).unwrap_or((unsigned, "0"));
    let (whole, fraction) = match mantissa.split_once('.') {
        Some((_, "")) => return Err(complaint(text)),
        Some(parts) => parts,
        None => (mantissa, ""),
    };
    let digits = format!("{whole}{fraction}");
    if !is_digits(&digits) {
        return Err(complaint(text));
    }
    let written = read_exponent(exponent).ok_or_else(|| complaint(text))?;
    let significant = digits.trim_start_matches('0');
    let kept = significant.trim_end_matches('0');
    if kept.len() > limits.digits {
        return Err(DecimalError::TooManyDigits(text.to_owned()));
    }
    let place = written + length(significant) - length(kept) - length(fraction);
    let magnitude = if kept.is_empty() { 0 } else { place + length(kept) - 1 };
    if written.abs().max(magnitude.abs()) > limits.exponent {
        return Err(DecimalError::ExponentTooLarge(text.to_owned()));
    }
    let size: i128 = if kept.is_empty() { 0 } else { kept.parse().map_err(|_| complaint(text))? };
    let exponent = i32::try_from(place).map_err(|_| complaint(text))?;
    Ok(Decimal::normalised(if negative { -size } else { size }, exponent))
}

/// Reads an exponent; one too long to count is as good as the largest.
fn read_exponent(text: &str) -> Option<i64> {
    let (negative, digits) = split_sign(text);
    let size = is_digits(digits).then(|| digits.parse().unwrap_or(i64::from(i32::MAX)))?;
    Some(if negative { -size } else { size }.clamp(i64::from(i32::MIN), i64::from(i32::MAX)))
}

pub(super) fn is_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

/// A text's length in bytes, signed, for sums of places.
fn length(text: &str) -> i64 {
    i64::try_from(text.len()).unwrap_or(i64::MAX / 8)
}

/// Says what is wrong with a text that is not a number.
pub(super) fn complaint(text: &str) -> DecimalError {
    let owned = text.to_owned();
    let (_, unsigned) = split_sign(text);
    if text.is_empty() {
        DecimalError::Empty
    } else if text.contains(',') {
        DecimalError::Comma(owned)
    } else if ["nan", "inf", "infinity"].iter().any(|word| unsigned.eq_ignore_ascii_case(word)) {
        DecimalError::NotFinite(owned)
    } else if text.contains(|c: char| c.is_numeric() && !c.is_ascii_digit()) {
        DecimalError::ForeignDigit(owned)
    } else if text.contains(|c: char| c == '_' || c.is_whitespace()) {
        DecimalError::Gap(owned)
    } else {
        DecimalError::Malformed(owned)
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
    fn reads_what_people_write() {
        for (text, expected) in [
            ("-12.3", Decimal::new(-123, -1)),
            ("\u{2212}12.3", Decimal::new(-123, -1)),
            ("+0.5", Decimal::new(5, -1)),
            (".5", Decimal::new(5, -1)),
            ("1.2e6", Decimal::new(12, 5)),
            ("1.2E-6", Decimal::new(12, -7)),
            ("1.2e\u{2212}6", Decimal::new(12, -7)),
            ("0012.300", Decimal::new(123, -1)),
            ("-0.00", Decimal::ZERO),
            ("123456789012345678901234567890", decimal("1.2345678901234567890123456789e29")),
        ] {
            assert_eq!(Decimal::parse(text), Ok(expected), "{text}");
        }
    }

    #[test]
    fn refuses_the_rest_and_says_why() {
        let owned = |text: &str| text.to_owned();
        for (text, error) in [
            ("", DecimalError::Empty),
            ("1,5", DecimalError::Comma(owned("1,5"))),
            ("1_000", DecimalError::Gap(owned("1_000"))),
            ("1 000", DecimalError::Gap(owned("1 000"))),
            ("nan", DecimalError::NotFinite(owned("nan"))),
            ("-Inf", DecimalError::NotFinite(owned("-Inf"))),
            ("\u{663}\u{664}", DecimalError::ForeignDigit(owned("\u{663}\u{664}"))),
            ("1e61", DecimalError::ExponentTooLarge(owned("1e61"))),
            (
                "0e99999999999999999999",
                DecimalError::ExponentTooLarge(owned("0e99999999999999999999")),
            ),
            ("1e-61", DecimalError::ExponentTooLarge(owned("1e-61"))),
            ("5.", DecimalError::Malformed(owned("5."))),
            (".", DecimalError::Malformed(owned("."))),
            ("--1", DecimalError::Malformed(owned("--1"))),
            ("1.2.3", DecimalError::Malformed(owned("1.2.3"))),
            ("1e", DecimalError::Malformed(owned("1e"))),
            ("1e1.5", DecimalError::Malformed(owned("1e1.5"))),
            ("0x10", DecimalError::Malformed(owned("0x10"))),
        ] {
            assert_eq!(Decimal::parse(text), Err(error), "{text}");
        }
        let long = "1".repeat(31);
        assert_eq!(Decimal::parse(&long), Err(DecimalError::TooManyDigits(long.clone())));
    }

    #[test]
    fn splits_a_number_from_what_follows() {
        for (text, number, rest) in [
            ("4.7 kohm", "4.7", " kohm"),
            ("-1.2e6V", "-1.2e6", "V"),
            ("1 EV", "1", " EV"),
            ("1EV", "1", "EV"),
            ("4k7", "4", "k7"),
            ("R47", "", "R47"),
            ("open", "", "open"),
        ] {
            assert_eq!(split_number(text), (number, rest));
        }
    }

    proptest! {
        #[test]
        fn written_text_keeps_its_value(whole in "[0-9]{1,12}", fraction in "[0-9]{1,12}") {
            let number = decimal(&format!("{whole}.{fraction}"));
            let joined: i128 = format!("{whole}{fraction}").parse().unwrap();
            let places = i32::try_from(fraction.len()).unwrap();
            prop_assert_eq!(number, Decimal::normalised(joined, -places));
        }
    }
}
