//! The mark of a fuse, read whole: `T2A`, `T3,15AH250V`, `F500mAL`.

use super::decimal_text::is_digits;

/// How large a short circuit a fuse interrupts, by the letter behind its rating (IEC 60127-2; from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Breaking {
    /// `L`: low.
    Low,
    /// `H`: high.
    High,
    /// `E`: enhanced, between the two.
    Enhanced,
}

/// A fuse's mark, taken apart.
#[derive(Debug, PartialEq, Eq)]
pub struct FuseMark {
    /// The letters of the characteristic.
    pub letters: &'static str,
    /// The rating with its unit and a point before its decimals: `3.15 A`.
    pub amps: String,
    /// The breaking capacity, where a letter gives it.
    pub breaking: Option<Breaking>,
}

/// The letters of the characteristics (IEC 60127-1: very quick-acting, quick-acting, medium time-lag, time-lag, long
/// time-lag; from memory). Two letters come before one.
const LETTERS: [&str; 5] = ["FF", "TT", "F", "M", "T"];

/// Rated voltages that are printed on miniature fuses (makers' lists; from memory). They tell the volts of `T2A250V` from
/// the decimals of `T2A5`.
const VOLTS: [&str; 14] =
    ["32", "50", "60", "63", "72", "125", "150", "250", "300", "350", "400", "450", "500", "600"];

impl FuseMark {
    /// Whether a text begins as a fuse's mark does: such a letter with a digit behind it.
    pub fn begins(text: &str) -> bool {
        letters(text).is_some()
    }

    /// Reads a whole mark; `None` where any of it stays unread, as half a mark is another fuse.
    pub fn parse(text: &str) -> Option<FuseMark> {
        let (letters, rest) = letters(text)?;
        let (amps, rest) = rating(rest)?;
        let (breaking, rest) = breaking(rest.trim_start());
        is_voltage(rest).then_some(FuseMark { letters, amps, breaking })
    }
}

fn letters(text: &str) -> Option<(&'static str, &str)> {
    LETTERS.into_iter().find_map(|letters| {
        let rest = text.trim().strip_prefix(letters)?.trim_start();
        rest.starts_with(|c: char| c.is_ascii_digit()).then_some((letters, rest))
    })
}

/// Splits the digits off a text; they may be none.
fn digits(text: &str) -> (&str, &str) {
    let rest = text.trim_start_matches(|c: char| c.is_ascii_digit());
    text.split_at(text.len() - rest.len())
}

/// Reads the rating; its decimals stand behind a point, a comma, or the `A` itself (IEC 60062 writes `4R7` so).
fn rating(text: &str) -> Option<(String, &str)> {
    let (whole, rest) = digits(text);
    if let Some(rest) = rest.strip_prefix('A') {
        let (fraction, after) = digits(rest);
        if !fraction.is_empty() && !is_voltage(rest) {
            // `0A315`; three digits behind any other number are volts without their V.
            let is_decimals = fraction.len() <= 2 || whole == "0";
            return is_decimals.then(|| (format!("{whole}.{fraction} A"), after));
        }
    }
    let (number, rest) = match rest.strip_prefix(['.', ',']) {
        Some(rest) => {
            let (fraction, rest) = digits(rest);
            is_digits(fraction).then(|| (format!("{whole}.{fraction}"), rest))?
        }
        None => (whole.to_owned(), rest),
    };
    let unit = rest.trim_start();
    Some(match (unit.strip_prefix("mA"), unit.strip_prefix('A')) {
        (Some(rest), _) => (format!("{number} mA"), rest),
        (None, Some(rest)) => (format!("{number} A"), rest),
        (None, None) => (format!("{number} A"), rest),
    })
}

fn breaking(text: &str) -> (Option<Breaking>, &str) {
    let known = [("L", Breaking::Low), ("H", Breaking::High), ("E", Breaking::Enhanced)];
    let found = known.iter().find_map(|(letter, own)| Some((*own, text.strip_prefix(letter)?)));
    found.map_or((None, text), |(own, rest)| (Some(own), rest))
}

/// Whether a text is nothing, or a rated voltage such as `250V` or `/ 250 V~`.
fn is_voltage(text: &str) -> bool {
    let text = text.trim().trim_start_matches('/').trim_start();
    let (volts, unit) = digits(text);
    let is_unit = ["V", "V~", "VAC", "V AC", "V ac"].contains(&unit.trim_start());
    text.is_empty() || VOLTS.contains(&volts) && is_unit
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;

    /// Marks as makers print them; the letters are those of IEC 60127 (from memory).
    #[test]
    fn a_mark_is_read_whole() {
        let (low, high, enhanced) =
            (Some(Breaking::Low), Some(Breaking::High), Some(Breaking::Enhanced));
        for (text, letters, amps, breaking) in [
            ("T2A", "T", "2 A", None),
            ("T1A6", "T", "1.6 A", None),
            ("T3A15", "T", "3.15 A", None),
            ("T2A5", "T", "2.5 A", None),
            ("T3,15A", "T", "3.15 A", None),
            ("T3.15A", "T", "3.15 A", None),
            ("T3,15AH250V", "T", "3.15 A", high),
            ("T3A15H250V", "T", "3.15 A", high),
            ("T 1,6 A L 250 V", "T", "1.6 A", low),
            ("T2A250V", "T", "2 A", None),
            ("T2A 250 V~", "T", "2 A", None),
            ("T2A/250V", "T", "2 A", None),
            ("F500mAL", "F", "500 mA", low),
            ("F500mAL250V", "F", "500 mA", low),
            ("FF 1.25 A", "FF", "1.25 A", None),
            ("TT800mA", "TT", "800 mA", None),
            ("TT6.3", "TT", "6.3 A", None),
            ("M2AE300V", "M", "2 A", enhanced),
            ("T0,5AL", "T", "0.5 A", low),
            ("T0A315", "T", "0.315 A", None),
        ] {
            let whole = FuseMark { letters, amps: amps.to_owned(), breaking };
            assert_eq!(FuseMark::parse(text), Some(whole), "{text}");
        }
    }

    #[test]
    fn half_a_mark_is_none() {
        for text in [
            "T2A6250V", "T3,15,2A", "T2AX", "T2AHL", "T2A15V", "T2A 5", "T2mA5", "T2,A", "T2A5A",
            "T2kA", "T2A250", "T1A6250V", "T1e3A", "T2A-5",
        ] {
            assert_eq!(FuseMark::parse(text), None, "{text}");
            assert!(FuseMark::begins(text), "{text}");
        }
    }

    #[test]
    fn the_letters_are_told_from_words_and_numbers() {
        for text in ["2 A", "T", "TA", "t2A", "G2A", "FT2A", ""] {
            assert!(!FuseMark::begins(text) && FuseMark::parse(text).is_none(), "{text}");
        }
        assert_eq!(FuseMark::parse("T2A").unwrap().letters, "T");
    }
}
