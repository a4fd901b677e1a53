//! The letter-and-digit code printed on resistors: `4K7J`, `R47K`, `100RF`.

/// Letters that stand for the decimal point, with their power of ten (IEC 60062; R, K and M read in
/// texts that quote it, L, G and T from memory).
///
/// `k` is accepted for kilo beside the standard's `K`. `m` is not: it would be milli, and old marks
/// used M for milli, micro and mega.
const MARKS: [(char, i32); 7] =
    [('R', 0), ('K', 3), ('k', 3), ('M', 6), ('L', -3), ('G', 9), ('T', 12)];

/// Tolerance letters in percent (IEC 60062 clause 5, from memory).
const TOLERANCES: [(char, f64); 8] = [
    ('B', 0.1),
    ('C', 0.25),
    ('D', 0.5),
    ('F', 1.0),
    ('G', 2.0),
    ('J', 5.0),
    ('K', 10.0),
    ('M', 20.0),
];

/// A resistor as its letters describe it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lettered {
    /// Resistance in ohms.
    pub resistance: f64,
    /// Tolerance as a ratio, where a letter gives it: 0.05 for 5 %.
    pub tolerance: Option<f64>,
}

/// Why a mark is not read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LetterError {
    /// No letter in the place of the decimal point.
    #[error(
        "`{0}` is not a resistor mark: write it like `4K7`, `R47` or `100R`; digits alone are not read"
    )]
    NoMark(String),
    /// A last letter that is not a tolerance.
    #[error("`{mark}` ends in `{end}`, which is not a tolerance: use one of B C D F G J K M")]
    NoTolerance {
        /// The whole mark.
        mark: String,
        /// What it ends in.
        end: String,
    },
}

/// Reads a resistor mark.
///
/// The first letter is the decimal point and the one at the end, if there is a second, the tolerance:
/// `47K` is 47 kilohms and `47RK` is 47 ohms within 10 %.
pub fn read(mark: &str) -> Result<Lettered, LetterError> {
    let trimmed = mark.trim();
    let no_mark = || LetterError::NoMark(mark.to_owned());
    let (whole, rest) = digits(trimmed);
    let letter = rest.chars().next().ok_or_else(no_mark)?;
    let power = find(&MARKS, letter).ok_or_else(no_mark)?;
    let (fraction, end) = digits(rest.strip_prefix(letter).unwrap_or_default());
    if whole.is_empty() && fraction.is_empty() {
        return Err(no_mark());
    }
    let resistance = format!("{whole}.{fraction}e{power}").parse().map_err(|_| no_mark())?;
    Ok(Lettered { resistance, tolerance: tolerance(mark, end)? })
}

fn tolerance(mark: &str, end: &str) -> Result<Option<f64>, LetterError> {
    let mut letters = end.chars();
    match (letters.next(), letters.next()) {
        (None, _) => return Ok(None),
        (Some(letter), None) => {
            if let Some(percent) = find(&TOLERANCES, letter) {
                return Ok(Some(percent / 100.0));
            }
        }
        _ => {}
    }
    Err(LetterError::NoTolerance { mark: mark.to_owned(), end: end.to_owned() })
}

/// Splits the leading digits off.
fn digits(text: &str) -> (&str, &str) {
    let end = text.find(|letter: char| !letter.is_ascii_digit()).unwrap_or(text.len());
    text.split_at_checked(end).unwrap_or((text, ""))
}

fn find<T: Copy>(table: &[(char, T)], letter: char) -> Option<T> {
    table.iter().find(|(code, _)| *code == letter).map(|(_, value)| *value)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;

    /// IEC 60062 marks (quoted).
    #[test]
    fn a_letter_is_the_decimal_point() {
        for (mark, ohms) in [
            ("R47", 0.47),
            ("4R7", 4.7),
            ("47R", 47.0),
            ("4K7", 4700.0),
            ("4k7", 4700.0),
            ("2K2", 2200.0),
            ("1M0", 1e6),
            ("47K", 47e3),
        ] {
            let read = read(mark).unwrap();
            assert_near(read.resistance, ohms, 1e-15);
            assert_eq!(read.tolerance, None, "{mark}");
        }
    }

    /// IEC 60062 clause 5 (from memory).
    #[test]
    fn a_second_letter_is_the_tolerance() {
        for (letter, percent) in [
            ("B", 0.1),
            ("C", 0.25),
            ("D", 0.5),
            ("F", 1.0),
            ("G", 2.0),
            ("J", 5.0),
            ("K", 10.0),
            ("M", 20.0),
        ] {
            let read = read(&format!(" 4K7{letter} ")).unwrap();
            assert_near(read.tolerance.unwrap(), percent / 100.0, 1e-15);
            assert_near(read.resistance, 4700.0, 1e-15);
        }
        assert_eq!(read("47RK"), Ok(Lettered { resistance: 47.0, tolerance: Some(0.1) }));
        assert_eq!(read("1M0M"), Ok(Lettered { resistance: 1e6, tolerance: Some(0.2) }));
    }

    #[test]
    fn refuses_what_is_no_mark() {
        for mark in ["", "47", "R", "K", "4.7K", "4m7", "x47", "-4K7", "\u{663}K7", "4\u{b5}7"] {
            assert!(read(mark).is_err(), "{mark}");
        }
        let message = read("4K7Z").unwrap_err().to_string();
        assert_eq!(
            message,
            "`4K7Z` ends in `Z`, which is not a tolerance: use one of B C D F G J K M"
        );
        assert!(read("4K7JJ").is_err());
        assert!(read("4K7 J").is_err());
    }

    proptest! {
        #[test]
        fn any_mark_reads_as_its_digits(whole in 0..1000_u16, tenth in 0..10_u16) {
            let read = read(&format!("{whole}K{tenth}")).unwrap();
            let ohms = f64::from(whole) * 1000.0 + f64::from(tenth) * 100.0;
            prop_assert!((read.resistance - ohms).abs() <= 1e-12 * ohms);
        }

        #[test]
        fn any_text_is_read_or_refused(text in ".{0,8}") {
            prop_assert!(read(&text).map_or(true, |read| read.resistance.is_finite()));
        }
    }
}
