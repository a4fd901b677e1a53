//! Readings as people at a bench write them and instruments send them.

use serde::{Deserialize, Serialize};

use super::decimal::Decimal;
use super::decimal_text::DecimalError;
use super::dimension::Dimension;
use super::fuse_mark::{FuseMark, Unread};
use super::letter_mark::LetterMark;
use super::prefix;
use super::quantity::{Quantity, in_base_units, split_value};
use super::unit::Unit;
use super::unit_symbols::guess;

/// What a meter showed: a value, or one of the two things a meter shows instead of a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Reading {
    /// A value.
    Number(Quantity),
    /// More than the meter can show: `OL`, open leads, 9.9E37 and above.
    OverRange,
    /// The instrument said that it has no number: 9.91E37.
    NotANumber,
}

/// Why a text is not a reading, and what to type instead.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum ReadingError {
    /// Nothing was typed.
    #[error("nothing was typed: type the value you see{}, or OL", in_words(.unit))]
    Empty {
        /// The step's unit.
        unit: String,
    },
    /// A word or sign, which confirms nothing.
    #[error("`{text}` is not a value: type the value you see{}, or OL", in_words(.unit))]
    NotAValue {
        /// What was typed.
        text: String,
        /// The step's unit.
        unit: String,
    },
    /// The number itself cannot be read.
    #[error(transparent)]
    Number(#[from] DecimalError),
    /// No such unit.
    #[error("unknown unit `{text}`{}", unit_to_type(.unit, .guess))]
    UnknownUnit {
        /// The unit that was typed.
        text: String,
        /// The step's unit.
        unit: String,
        /// What it may have meant.
        guess: Option<String>,
    },
    /// A unit that measures something else.
    #[error("`{text}` is {found}, but this step reads {wanted}{}", unit_to_type(.unit, .guess))]
    WrongDimension {
        /// What was typed.
        text: String,
        /// What that measures.
        found: String,
        /// What the step reads.
        wanted: String,
        /// The step's unit.
        unit: String,
        /// What the typed unit may have meant.
        guess: Option<String>,
    },
    /// A prefix alone where the step's unit takes none.
    #[error("`{text}` has a prefix alone: type the value{} with its unit written out", in_words(.unit))]
    PrefixAlone {
        /// What was typed.
        text: String,
        /// The step's unit.
        unit: String,
    },
    /// A fuse's mark, whose letter is no prefix.
    #[error("`{text}` is the mark of a fuse: type the amps alone, `{amps}`")]
    FuseMark {
        /// What was typed.
        text: String,
        /// Its rating without the letter.
        amps: String,
    },
    /// What begins as a fuse's mark does, and is none that is known.
    #[error(
        "`{text}` looks like the mark of a fuse, but not all of it can be read: type its amps alone, with all their decimals, such as `3.15 A`"
    )]
    UnreadFuseMark {
        /// What was typed.
        text: String,
    },
    /// A fuse's mark that names no unit, with a number that is none in amperes.
    #[error(
        "`{text}` is the mark of a fuse without its unit: no miniature fuse has {amps}, and below 1 A they are marked in milliamperes; type `{milliamps}` if that is meant"
    )]
    FuseMarkWithoutUnit {
        /// What was typed.
        text: String,
        /// What it is likely to be.
        milliamps: String,
        /// What it would be in amperes.
        amps: String,
    },
    /// A letter mark and a prefixed unit.
    #[error("`{text}` has two prefixes: type it like `4k7` or like `4.7 kohm`")]
    TwoPrefixes {
        /// What was typed.
        text: String,
    },
}

/// ` in mA`, or nothing for a pure number.
fn in_words(unit: &str) -> String {
    if unit.is_empty() { String::new() } else { format!(" in {unit}") }
}

fn unit_to_type(unit: &str, guess: &Option<String>) -> String {
    let guess =
        guess.as_ref().map(|guess| format!("; did you mean `{guess}`?")).unwrap_or_default();
    format!(": type the value{}{guess}", in_words(unit))
}

/// Where an instrument's number stands for "over range" (SCPI-1999, volume 1: 9.9E37 is infinity).
const OVER_RANGE: Decimal = Decimal::new(99, 36);

/// The number with which an instrument says "not a number" (SCPI-1999, volume 1).
const NOT_A_NUMBER: Decimal = Decimal::new(991, 35);

/// Digits to which those two are compared, as single-precision instruments send 9.9E37 as
/// 9.89999984E37.
const DIGITS_SENT: u32 = 6;

impl Reading {
    /// Reads what a person typed or an instrument sent, in a step of this unit.
    ///
    /// `1.2M`, `4k7`, `R47`, `30 mA`, `-12.3`, `OL`. No unit means the step's unit; a prefix alone
    /// applies to its base unit. Errors say what to type instead.
    pub fn parse(text: &str, unit: &Unit) -> Result<Reading, ReadingError> {
        let text = text.trim();
        if text.is_empty() {
            return Err(ReadingError::Empty { unit: unit.symbol().to_owned() });
        }
        if let Some(reading) = instead_of_a_number(text) {
            return Ok(reading);
        }
        let step = TypedText { text, unit };
        if step.is_current() && FuseMark::begins(text) {
            return Err(step.fuse_mark());
        }
        if step.is_current() && has_decimals_behind_its_unit(text) {
            return Err(step.fuse_rating());
        }
        if text.contains(',') {
            return Err(DecimalError::Comma(text.to_owned()).into());
        }
        match LetterMark::find(text).filter(|found| step.takes(found.mark)) {
            Some(found) => step.letter_mark(&found),
            None => step.number_and_unit(),
        }
    }

    /// Takes a quantity, unless it is one of the numbers that stand for no number.
    fn of(quantity: Quantity) -> Reading {
        overload(quantity.value).unwrap_or(Reading::Number(quantity))
    }
}

/// Whether a text has digits behind an `A`, as the rating on a fuse may: `3A15`.
fn has_decimals_behind_its_unit(text: &str) -> bool {
    let behind = text.split_once('A').map(|(_, behind)| behind);
    text.starts_with(|c: char| c.is_ascii_digit())
        && behind.is_some_and(|behind| behind.starts_with(|c: char| c.is_ascii_digit()))
}

/// Recognises the words for a reading that is no number.
fn instead_of_a_number(text: &str) -> Option<Reading> {
    match text.trim_start_matches(['+', '-']).to_ascii_lowercase().as_str() {
        "ol" | "o.l" | "o.l." | "open" | "over" | "inf" | "infinity" => Some(Reading::OverRange),
        "nan" => Some(Reading::NotANumber),
        _ => None,
    }
}

/// Recognises the numbers for a reading that is no number, by value and whatever the sign.
fn overload(number: Decimal) -> Option<Reading> {
    let size = number.abs().round_significant(DIGITS_SENT);
    if size == NOT_A_NUMBER {
        Some(Reading::NotANumber)
    } else {
        (size >= OVER_RANGE).then_some(Reading::OverRange)
    }
}

/// A text typed at a step of some unit.
struct TypedText<'a> {
    text: &'a str,
    unit: &'a Unit,
}

impl TypedText<'_> {
    /// `30 mA`, `1.2M`, `47R`, `-12.3`.
    fn number_and_unit(&self) -> Result<Reading, ReadingError> {
        let (number, rest) = split_value(self.text)?;
        if !number.contains(|c: char| c.is_ascii_digit()) {
            return Err(self.not_a_value());
        }
        let number = Decimal::parse(number)?;
        if let Some(reading) = overload(number) {
            return Ok(reading);
        }
        let written = match rest {
            "" => return self.reading(number, self.unit),
            "R" => "ohm",
            unit => unit,
        };
        let parsed = Unit::parse(written);
        if let Ok(unit) = &parsed
            && unit.dimension() == self.unit.dimension()
        {
            return self.reading(number, unit);
        }
        match prefix::alone(written).filter(|_| self.takes(written)) {
            Some(power) => self.prefixed(number, power),
            None => match parsed {
                Ok(unit) => Err(self.wrong_dimension(unit.dimension(), written)),
                Err(_) => Err(self.unknown_unit(written)),
            },
        }
    }

    /// `4k7`, `2R2`, `4n7 F`.
    fn letter_mark(&self, found: &LetterMark<'_>) -> Result<Reading, ReadingError> {
        let number = Decimal::parse(&found.number)?;
        let of_mark = match found.mark {
            "R" => Dimension::RESISTANCE,
            "F" => Dimension::CAPACITANCE,
            _ => self.unit.dimension(),
        };
        let after = match found.rest {
            "" => Unit::base(of_mark),
            rest => Unit::parse(rest).map_err(|_| self.unknown_unit(rest))?,
        };
        for dimension in [of_mark, after.dimension()] {
            if dimension != self.unit.dimension() {
                return Err(self.wrong_dimension(dimension, found.rest));
            }
        }
        if after.factor() != Decimal::ONE {
            return Err(ReadingError::TwoPrefixes { text: self.text.to_owned() });
        }
        match prefix::alone(found.mark) {
            Some(power) => self.prefixed(number, power),
            None => self.reading(number, &after),
        }
    }

    /// A number with a prefix alone, which applies to the base unit.
    fn prefixed(&self, number: Decimal, power: i32) -> Result<Reading, ReadingError> {
        // `5m` in a step in minutes is no 5 milliseconds, and `5k` in % is nothing at all.
        if !self.unit.takes_prefix() && !self.unit.symbol().is_empty() {
            return Err(ReadingError::PrefixAlone {
                text: self.text.to_owned(),
                unit: self.unit.symbol().to_owned(),
            });
        }
        Ok(Reading::of(Quantity::new(number.shift(power), self.unit.dimension())))
    }

    fn reading(&self, number: Decimal, unit: &Unit) -> Result<Reading, ReadingError> {
        Ok(Reading::of(in_base_units(self.text, number, unit)?))
    }

    /// Whether a letter can stand here for its prefix: no bench reads megaamps, and the `M` on an old capacitor is micro.
    fn takes(&self, mark: &str) -> bool {
        let too_much: &[&str] = match self.unit.dimension() {
            Dimension::CURRENT => &["M", "G", "T"],
            Dimension::CAPACITANCE => &["k", "K", "M", "G", "T"],
            _ => &[],
        };
        !too_much.contains(&mark) && !self.is_kelvin(mark)
    }

    /// Says what to type instead of a fuse's mark.
    fn fuse_mark(&self) -> ReadingError {
        let text = self.text.to_owned();
        match FuseMark::parse(self.text) {
            Ok(mark) => ReadingError::FuseMark { text, amps: mark.amps },
            Err(Unread::NotWhole) => ReadingError::UnreadFuseMark { text },
            Err(Unread::NoUnit { milliamps, amps }) => {
                ReadingError::FuseMarkWithoutUnit { text, milliamps, amps }
            }
        }
    }

    /// Says what to type instead of a fuse's rating that stands without its letter.
    fn fuse_rating(&self) -> ReadingError {
        let text = self.text.to_owned();
        match FuseMark::parse(&format!("T{text}")) {
            Ok(mark) => ReadingError::FuseMark { text, amps: mark.amps },
            Err(_) => ReadingError::UnreadFuseMark { text },
        }
    }

    fn is_current(&self) -> bool {
        self.unit.dimension() == Dimension::CURRENT
    }

    /// Whether a letter means kelvin here, and so never kilo.
    fn is_kelvin(&self, letter: &str) -> bool {
        let dimension = self.unit.dimension();
        ["k", "K"].contains(&letter)
            && [Dimension::TEMPERATURE, Dimension::CELSIUS].contains(&dimension)
    }

    fn not_a_value(&self) -> ReadingError {
        ReadingError::NotAValue { text: self.text.to_owned(), unit: self.unit.symbol().to_owned() }
    }

    fn unknown_unit(&self, written: &str) -> ReadingError {
        ReadingError::UnknownUnit {
            text: written.to_owned(),
            unit: self.unit.symbol().to_owned(),
            guess: guess(written, Some(self.unit.dimension())),
        }
    }

    fn wrong_dimension(&self, found: Dimension, written: &str) -> ReadingError {
        ReadingError::WrongDimension {
            text: self.text.to_owned(),
            found: found.name(),
            wanted: self.unit.dimension().name(),
            unit: self.unit.symbol().to_owned(),
            guess: guess(written, Some(self.unit.dimension())),
        }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::*;

    fn read(text: &str, unit: &str) -> Result<Reading, ReadingError> {
        Reading::parse(text, &Unit::parse(unit).unwrap())
    }

    fn message(text: &str, unit: &str) -> String {
        read(text, unit).unwrap_err().to_string()
    }

    /// Asserts that `text` typed in a step of `unit` is the quantity `expected`.
    fn assert_reads(text: &str, unit: &str, expected: &str) {
        let expected = Reading::Number(Quantity::parse(expected).unwrap());
        assert_eq!(read(text, unit), Ok(expected), "`{text}` in a step in {unit}");
    }

    #[test]
    fn odd_texts_are_refused_with_what_to_type() {
        for (text, unit, words) in [
            ("3A15", "mA", "`3A15` is the mark of a fuse: type the amps alone, `3.15 A`"),
            ("3A15X", "A", "not all of it can be read"),
            ("1e400", "V", "beyond 1e60"),
            ("12.", "V", "is not a number"),
            ("12,5", "V", "has a comma"),
            ("12 5", "V", "has a gap"),
            ("\u{2013}12", "V", "is not a value"),
            ("<12", "V", "is not a value"),
            ("12\u{b1}1", "V", "unknown unit"),
            ("\u{ff11}2", "V", "digit other than 0 to 9"),
            ("\u{bd}", "V", "digit other than 0 to 9"),
            ("1/2", "V", "unknown unit `/2`"),
            ("12 VAC", "V", "did you mean `V`?"),
            ("54 celsius", "degC", "did you mean `degC`?"),
            ("54C", "degC", "did you mean `degC`?"),
            ("54\u{b0}", "degC", "did you mean `degC`?"),
            ("54\u{2103}", "degC", "did you mean `degC`?"),
            ("104K", "uF", "is temperature difference"),
            ("47MMF", "uF", "did you mean `pF`?"),
            ("30mAh", "mA", "unknown unit"),
            ("1:30", "s", "unknown unit"),
        ] {
            let told = message(text, unit);
            assert!(told.contains(words), "{text}: {told}");
        }
    }

    #[test]
    fn numbers_as_people_at_a_bench_write_them() {
        for (text, unit, expected) in [
            ("1.2M", "ohm", "1200000 ohm"),
            ("0.133k", "ohm", "133 ohm"),
            ("30 mA", "mA", "0.03 A"),
            ("63V", "V", "63 V"),
            ("-12.3", "V", "-12.3 V"),
            ("\u{2212}12.3 V", "V", "-12.3 V"),
            ("1.2e6", "ohm", "1200000 ohm"),
            (" 15 ", "%", "0.15"),
            ("0.15 A", "mA", "0.15 A"),
            ("90 s", "min", "90 s"),
            ("54", "degC", "54 degC"),
            ("54 degC", "degC", "54 degC"),
            ("54 \u{b0}C", "degC", "54 degC"),
            ("8 K", "K", "8 K"),
            ("100 kHz", "Hz", "100000 Hz"),
            ("12 VA", "W", "12 W"),
            ("2.5", "", "2.5"),
            ("1.2k", "", "1200"),
        ] {
            assert_reads(text, unit, expected);
        }
    }

    #[test]
    fn letter_notation_of_iec_60062() {
        // IEC 60062:2016: the letter stands in the place of the decimal point.
        for (text, unit, expected) in [
            ("R47", "ohm", "0.47 ohm"),
            ("4R7", "ohm", "4.7 ohm"),
            ("47R", "ohm", "47 ohm"),
            ("2R2", "kohm", "2.2 ohm"),
            ("4K7", "ohm", "4700 ohm"),
            ("4k7", "ohm", "4700 ohm"),
            ("2K2", "ohm", "2200 ohm"),
            ("1M0", "ohm", "1000000 ohm"),
            ("4n7", "uF", "4.7 nF"),
            ("2u2", "F", "2.2 uF"),
            ("2\u{b5}2", "F", "2.2 uF"),
            ("2\u{3bc}2", "F", "2.2 uF"),
            ("4n7 F", "F", "4.7 nF"),
            ("4F7", "F", "4.7 F"),
            ("4k7 ohm", "ohm", "4700 ohm"),
            ("1k2", "V", "1200 V"),
        ] {
            assert_reads(text, unit, expected);
        }
    }

    #[test]
    fn a_bare_prefix_applies_to_the_base_unit() {
        assert_reads("1.2m", "mA", "1.2 mA");
        assert_reads("1.2k", "kohm", "1.2 kohm");
        assert_reads("1.2K", "ohm", "1200 ohm");
        assert_reads("5 m", "m", "5 m");
        assert_reads("2u", "s", "2 us");
        let alone = "`5m` has a prefix alone: type the value in min with its unit written out";
        assert_eq!(message("5m", "min"), alone);
        assert!(matches!(read("5k", "%"), Err(ReadingError::PrefixAlone { .. })));
        assert!(matches!(read("4m7", "dB"), Err(ReadingError::PrefixAlone { .. })));
    }

    #[test]
    fn kelvin_is_never_kilo() {
        assert_reads("5K", "K", "5 K");
        assert_eq!(message("5k", "K"), "unknown unit `k`: type the value in K; did you mean `K`?");
        assert!(matches!(read("54K", "degC"), Err(ReadingError::WrongDimension { .. })));
        assert!(matches!(read("4K7", "K"), Err(ReadingError::WrongDimension { .. })));
    }

    #[test]
    fn the_letter_of_a_fuse_is_never_a_prefix() {
        for (text, amps) in [
            ("T2A", "2 A"),
            ("M2A", "2 A"),
            ("F2A", "2 A"),
            ("T3.15A", "3.15 A"),
            ("T 2 A", "2 A"),
            ("TT6.3", "6.3 A"),
            ("FF500mA", "500 mA"),
            ("T2AL250V", "2 A"),
            ("T1A6", "1.6 A"),
            ("T3,15A", "3.15 A"),
            ("T3A15", "3.15 A"),
            ("T2A5", "2.5 A"),
            ("T3,15AH250V", "3.15 A"),
        ] {
            let due = format!("`{text}` is the mark of a fuse: type the amps alone, `{amps}`");
            assert_eq!(message(text, "A"), due);
        }
        for text in ["2T5 A", "1M5", "G2A", "2G5", "5M", "2A5"] {
            assert!(read(text, "A").is_err(), "{text}");
        }
        let half = message("T2AX6", "A");
        assert!(half.contains("not all of it can be read") && !half.contains("2 A"), "{half}");
        assert_reads("M47", "ohm", "470 kohm");
        assert_reads("2m5", "A", "2.5 mA");
    }

    /// Old capacitors are marked MF or MFD for microfarad (practice of the trade; from memory).
    #[test]
    fn the_old_marks_of_a_microfarad_are_never_megafarads() {
        for text in ["40MF", "40 MF", "40MFD", "40 mfd"] {
            let message = message(text, "uF");
            assert!(message.contains("did you mean `uF`?"), "{message}");
            assert!(Quantity::parse(text).unwrap_err().to_string().contains("`uF`"), "{text}");
        }
        for text in ["40M", "4M7", "40k", "1G"] {
            assert!(read(text, "uF").is_err(), "{text}");
        }
        assert!(message("100MMF", "pF").contains("did you mean `pF`?"));
        assert_reads("40 mF", "uF", "0.04 F");
        assert_reads("40u", "uF", "40 uF");
    }

    #[test]
    fn over_range_and_not_a_number_are_readings_of_their_own() {
        for text in ["OL", "ol", "O.L", "open", "Open", "OVER", "inf", "-inf", "+INF"] {
            assert_eq!(read(text, "ohm"), Ok(Reading::OverRange), "{text}");
        }
        assert_eq!(read("NaN", "ohm"), Ok(Reading::NotANumber));
        // SCPI-1999 volume 1: 9.9E37 is infinity, 9.91E37 is not a number.
        for text in
            ["9.9E37", "+9.9E+37", "-9.90000E+37", "99e36", "9.89999984E+37", "1e38", "9.9E37 V"]
        {
            assert_eq!(read(text, "V"), Ok(Reading::OverRange), "{text}");
        }
        for text in ["9.91E37", "+9.91000E+37", "9.91e+37", "99.1e36", "9.90999984E37"] {
            assert_eq!(read(text, "mV"), Ok(Reading::NotANumber), "{text}");
        }
        assert_eq!(read("9.9e34 kV", "V"), Ok(Reading::OverRange), "large only after conversion");
        assert!(matches!(read("9.8e37", "V"), Ok(Reading::Number(_))));
    }

    #[test]
    fn a_word_confirms_nothing() {
        for text in ["ok", "OK", "y", "yes", "fine", "V", "-", ".", "~12", "(5)"] {
            assert!(matches!(read(text, "V"), Err(ReadingError::NotAValue { .. })), "{text}");
        }
        assert_eq!(message("ok", "mA"), "`ok` is not a value: type the value you see in mA, or OL");
        assert_eq!(message("  ", "V"), "nothing was typed: type the value you see in V, or OL");
        assert_eq!(message("", ""), "nothing was typed: type the value you see, or OL");
    }

    #[test]
    fn a_comma_or_a_gap_is_never_guessed_at() {
        for text in ["1,5", "1,000", "1,5 V", ",5", "4k7,"] {
            assert!(
                matches!(read(text, "V"), Err(ReadingError::Number(DecimalError::Comma(_)))),
                "{text}"
            );
        }
        for text in ["1 000", "1_000", "1\u{a0}000 V"] {
            assert!(
                matches!(read(text, "V"), Err(ReadingError::Number(DecimalError::Gap(_)))),
                "{text}"
            );
        }
        let foreign = read("\u{661}\u{662}", "V");
        assert!(matches!(foreign, Err(ReadingError::Number(DecimalError::ForeignDigit(_)))));
        for text in ["1.2.3", "5. V", "1..2"] {
            assert!(
                matches!(read(text, "V"), Err(ReadingError::Number(DecimalError::Malformed(_)))),
                "{text}"
            );
        }
    }

    #[test]
    fn another_dimension_is_an_error_that_says_what_to_type() {
        for (text, unit, expected) in [
            ("30 mA", "V", "`30 mA` is current, but this step reads voltage: type the value in V"),
            ("2R2", "V", "`2R2` is resistance, but this step reads voltage: type the value in V"),
            ("47R", "V", "`47R` is resistance, but this step reads voltage: type the value in V"),
            (
                "4F7",
                "ohm",
                "`4F7` is capacitance, but this step reads resistance: type the value in ohm",
            ),
            (
                "4k7 V",
                "ohm",
                "`4k7 V` is voltage, but this step reads resistance: type the value in ohm",
            ),
            (
                "54C",
                "degC",
                "`54C` is charge, but this step reads temperature: type the value in degC; did you mean `degC`?",
            ),
            (
                "5 S",
                "s",
                "`5 S` is conductance, but this step reads time: type the value in s; did you mean `s`?",
            ),
            ("5 h", "V", "`5 h` is time, but this step reads voltage: type the value in V"),
        ] {
            assert_eq!(message(text, unit), expected);
        }
    }

    #[test]
    fn slips_of_the_unit_get_a_hint() {
        for (text, unit, expected) in [
            ("30 ma", "mA", "unknown unit `ma`: type the value in mA; did you mean `mA`?"),
            ("30 ma", "V", "unknown unit `ma`: type the value in V"),
            ("12 volts", "V", "unknown unit `volts`: type the value in V; did you mean `V`?"),
            ("54 deg", "degC", "unknown unit `deg`: type the value in degC; did you mean `degC`?"),
            ("1.2k7", "ohm", "unknown unit `k7`: type the value in ohm"),
            (
                "4k7 kohm",
                "ohm",
                "`4k7 kohm` has two prefixes: type it like `4k7` or like `4.7 kohm`",
            ),
            ("4k7 x", "ohm", "unknown unit `x`: type the value in ohm"),
        ] {
            assert_eq!(message(text, unit), expected);
        }
    }

    #[test]
    fn json_keeps_the_three_apart() {
        let number = read("12.3", "mA").unwrap();
        for (reading, json) in [
            (number, "{\"number\":\"0.0123 A\"}"),
            (Reading::OverRange, "\"over_range\""),
            (Reading::NotANumber, "\"not_a_number\""),
        ] {
            assert_eq!(serde_json::to_string(&reading).unwrap(), json);
            assert_eq!(serde_json::from_str::<Reading>(json).unwrap(), reading);
        }
    }

    proptest! {
        #[test]
        fn a_value_comes_from_digits_and_points_alone(text in "\\PC{0,8}|[-+0-9.,eEkKmMRFuVs% _]{0,12}") {
            for unit in ["V", "ohm", "%", "degC", "K", "min", ""] {
                if let Ok(Reading::Number(_)) = read(&text, unit) {
                    prop_assert!(text.contains(|c: char| c.is_ascii_digit()), "{text}");
                    prop_assert!(!text.contains([',', '_']), "{text}");
                }
            }
        }
    }
}
