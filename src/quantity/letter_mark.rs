//! Numbers with a letter where the decimal point would be, as printed on components: `4k7`, `2R2`,
//! `R47`.

use super::decimal_text::split_sign;
use super::prefix;

/// A number with a letter mark, taken apart (letter notation of IEC 60062).
#[derive(Debug, PartialEq, Eq)]
pub(super) struct LetterMark<'a> {
    /// The letter.
    pub(super) mark: &'a str,
    /// The number with a point in the place of the letter.
    pub(super) number: String,
    /// What follows, trimmed: a unit, or nothing.
    pub(super) rest: &'a str,
}

impl LetterMark<'_> {
    /// Takes a text apart; `None` when it has no letter with a digit behind it.
    pub(super) fn find(text: &str) -> Option<LetterMark<'_>> {
        let (negative, unsigned) = split_sign(text);
        let after_whole = unsigned.trim_start_matches(|c: char| c.is_ascii_digit());
        let letter = after_whole.chars().next()?;
        let (mark, after_mark) = after_whole.split_at_checked(letter.len_utf8())?;
        let after_fraction = after_mark.trim_start_matches(|c: char| c.is_ascii_digit());
        let whole = unsigned.strip_suffix(after_whole)?;
        let fraction = after_mark.strip_suffix(after_fraction)?;
        let is_mark = matches!(mark, "R" | "F") || prefix::alone(mark).is_some();
        (is_mark && !fraction.is_empty()).then(|| LetterMark {
            mark,
            number: format!("{}{whole}.{fraction}", if negative { "-" } else { "" }),
            rest: after_fraction.trim(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_letter_between_the_digits() {
        for (text, mark, number, rest) in [
            ("4k7", "k", "4.7", ""),
            ("R47", "R", ".47", ""),
            ("1M0", "M", "1.0", ""),
            ("2\u{b5}2", "\u{b5}", "2.2", ""),
            ("-4k7 ohm", "k", "-4.7", "ohm"),
            ("4n7F", "n", "4.7", "F"),
        ] {
            let found = LetterMark { mark, number: number.to_owned(), rest };
            assert_eq!(LetterMark::find(text), Some(found), "{text}");
        }
    }

    #[test]
    fn leaves_other_texts_alone() {
        for text in
            ["", "47", "47R", "4.7k", "1e6", "4E7", "30 mA", "open", "OL", "1.2k7", "\u{663}k7"]
        {
            assert_eq!(LetterMark::find(text), None, "{text}");
        }
    }
}
