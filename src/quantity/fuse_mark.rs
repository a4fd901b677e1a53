//! The mark of a fuse: the letter of its time-current characteristic, then its rating, as in `T2A` or `T3.15AL250V`.

use super::decimal_text::split_number;

/// A fuse's mark, taken apart.
#[derive(Debug, PartialEq, Eq)]
pub struct FuseMark<'a> {
    /// The letters of the characteristic.
    pub letters: &'static str,
    /// What stands behind them: the rating and whatever follows.
    pub rest: &'a str,
}

/// The letters of the characteristics (IEC 60127-1: very quick-acting, quick-acting, medium time-lag, time-lag, long
/// time-lag; from memory). Two letters come before one.
const LETTERS: [&str; 5] = ["FF", "TT", "F", "M", "T"];

impl FuseMark<'_> {
    /// Takes a text apart; `None` when it has no such letter with a digit behind it.
    pub fn find(text: &str) -> Option<FuseMark<'_>> {
        LETTERS.into_iter().find_map(|letters| {
            let rest = text.trim().strip_prefix(letters)?.trim_start();
            rest.starts_with(|c: char| c.is_ascii_digit()).then_some(FuseMark { letters, rest })
        })
    }

    /// The rating alone.
    pub fn amps(&self) -> String {
        let (number, unit) = split_number(self.rest);
        let unit = if unit.trim_start().starts_with("mA") { "mA" } else { "A" };
        format!("{number} {unit}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_letters_are_told_from_words_and_numbers() {
        for (text, letters, amps) in
            [("T2A", "T", "2 A"), ("FF 1.25 A", "FF", "1.25 A"), ("TT800mA", "TT", "800 mA")]
        {
            let found = FuseMark::find(text);
            assert_eq!(found.as_ref().map(|own| own.letters), Some(letters), "{text}");
            assert_eq!(found.map(|own| own.amps()).as_deref(), Some(amps), "{text}");
        }
        for text in ["2 A", "T", "TA", "t2A", "G2A", "FT2A", ""] {
            assert_eq!(FuseMark::find(text), None, "{text}");
        }
    }
}
