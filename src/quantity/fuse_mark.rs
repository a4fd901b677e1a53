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

/// Why a mark is not read.
#[derive(Debug, PartialEq, Eq)]
pub enum Unread {
    /// Some of it stays unread: half a mark is another fuse.
    NotWhole,
    /// It names no unit, and its number is none in amperes.
    NoUnit {
        /// The rating in milliamperes, which it is likely to be: `500 mA`.
        milliamps: String,
        /// The rating in amperes, which no such fuse has: `500 A`.
        amps: String,
    },
}

/// The highest rating of a miniature fuse (A; the scope of IEC 60127-7, as a publisher's page gives it). Ratings below 1 A are
/// marked in milliamperes, all others in amperes (IEC 60127-1, 6.1, as an adopted edition gives it), so a higher number without
/// a unit is likely to be in milliamperes.
const MOST_A: f64 = 20.0;

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

    /// Reads a whole mark.
    pub fn parse(text: &str) -> Result<FuseMark, Unread> {
        let (letters, rest) = letters(text).ok_or(Unread::NotWhole)?;
        let (MarkedRating { number, unit }, rest) = rating(rest).ok_or(Unread::NotWhole)?;
        let (breaking, rest) = breaking(rest.trim_start());
        if !is_voltage(rest) {
            return Err(Unread::NotWhole);
        }
        let of = |unit: &str| format!("{number} {unit}");
        let is_too_much = number.parse::<f64>().is_ok_and(|number| number > MOST_A);
        match unit {
            None if is_too_much => Err(Unread::NoUnit { milliamps: of("mA"), amps: of("A") }),
            unit => Ok(FuseMark { letters, amps: of(unit.unwrap_or("A")), breaking }),
        }
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

/// A rating with a point before its decimals, and its unit where the mark names one.
struct MarkedRating {
    number: String,
    unit: Option<&'static str>,
}

/// Reads the rating; its decimals stand behind a point, a comma, or the `A` itself (IEC 60062 writes `4R7` so).
fn rating(text: &str) -> Option<(MarkedRating, &str)> {
    let (whole, rest) = digits(text);
    if let Some(rest) = rest.strip_prefix('A') {
        let (fraction, after) = digits(rest);
        if !fraction.is_empty() && !is_voltage(rest) {
            // `0A315`; three digits behind any other number are volts without their V.
            let is_decimals = fraction.len() <= 2 || whole == "0";
            let number = format!("{whole}.{fraction}");
            return is_decimals.then_some((MarkedRating { number, unit: Some("A") }, after));
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
    let found =
        ["mA", "A"].into_iter().find_map(|symbol| Some((symbol, unit.strip_prefix(symbol)?)));
    let rest = found.map_or(rest, |(_, rest)| rest);
    Some((MarkedRating { number, unit: found.map(|(symbol, _)| symbol) }, rest))
}

fn breaking(text: &str) -> (Option<Breaking>, &str) {
    let known = [("L", Breaking::Low), ("H", Breaking::High), ("E", Breaking::Enhanced)];
    let found =
        known.iter().find_map(|(letter, breaking)| Some((*breaking, text.strip_prefix(letter)?)));
    found.map_or((None, text), |(breaking, rest)| (Some(breaking), rest))
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
            ("T10AE250V", "T", "10 A", enhanced),
            ("T3.15L250V", "T", "3.15 A", low),
            ("F 4 H 250 V", "F", "4 A", high),
            ("T 315 mA L 250 V", "T", "315 mA", low),
            ("T315mAL250V~", "T", "315 mA", low),
            ("FF0.5A", "FF", "0.5 A", None),
            ("T20A", "T", "20 A", None),
            ("T20", "T", "20 A", None),
            ("T1,25AH/250V", "T", "1.25 A", high),
            ("T63A", "T", "63 A", None),
        ] {
            let whole = FuseMark { letters, amps: amps.to_owned(), breaking };
            assert_eq!(FuseMark::parse(text), Ok(whole), "{text}");
        }
    }

    /// Below 1 A a mark is in milliamperes, and may leave its unit out.
    #[test]
    fn a_number_that_no_fuse_has_in_amperes_is_not_taken_for_amperes() {
        for (text, number) in [
            ("T500", "500"),
            ("T315L250V", "315"),
            ("F32", "32"),
            ("TT63 250V", "63"),
            ("T21", "21"),
            ("M1600", "1600"),
            ("FF 100 H", "100"),
            ("T20.5", "20.5"),
        ] {
            let milliamps = format!("{number} mA");
            let no_unit = Unread::NoUnit { milliamps, amps: format!("{number} A") };
            assert_eq!(FuseMark::parse(text), Err(no_unit), "{text}");
        }
    }

    #[test]
    fn half_a_mark_is_none() {
        for text in [
            "T2A6250V", "T3,15,2A", "T2AX", "T2AHL", "T2A15V", "T2A 5", "T2mA5", "T2,A", "T2A5A",
            "T2kA", "T2A250", "T1A6250V", "T1e3A", "T2A-5",
        ] {
            assert_eq!(FuseMark::parse(text), Err(Unread::NotWhole), "{text}");
            assert!(FuseMark::begins(text), "{text}");
        }
    }

    #[test]
    fn the_letters_are_told_from_words_and_numbers() {
        for text in ["2 A", "T", "TA", "t2A", "G2A", "FT2A", ""] {
            assert!(!FuseMark::begins(text) && FuseMark::parse(text).is_err(), "{text}");
        }
        assert_eq!(FuseMark::parse("T2A").unwrap().letters, "T");
    }
}
