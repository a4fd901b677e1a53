//! The colour code of resistors, read from either end.

use super::preferred_value::{Series, scaled};

/// A colour of a band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Colour {
    Black,
    Brown,
    Red,
    Orange,
    Yellow,
    Green,
    Blue,
    Violet,
    Grey,
    White,
    Gold,
    Silver,
    Pink,
}

/// What a colour means in each place.
struct ColourMeaning {
    colour: Colour,
    name: &'static str,
    digit: Option<u16>,
    /// Power of ten.
    multiplier: i32,
    /// In percent.
    tolerance: Option<f64>,
    /// In parts per million per kelvin.
    drift: Option<f64>,
}

/// The colour code of IEC 60062:2016.
///
/// Digits, and the tolerances brown, red, gold and silver: read in texts that quote it. Temperature
/// coefficients and the tolerances orange and yellow: read in charts that quote it. The tolerances
/// green, blue and violet, and the multipliers gold, silver and pink: from memory. Grey as a tolerance
/// is left out, as charts disagree about it.
#[rustfmt::skip]
const CODE: [ColourMeaning; 13] = [
    row(Colour::Black, "black", Some(0), 0, None, Some(250.0)),
    row(Colour::Brown, "brown", Some(1), 1, Some(1.0), Some(100.0)),
    row(Colour::Red, "red", Some(2), 2, Some(2.0), Some(50.0)),
    row(Colour::Orange, "orange", Some(3), 3, Some(0.05), Some(15.0)),
    row(Colour::Yellow, "yellow", Some(4), 4, Some(0.02), Some(25.0)),
    row(Colour::Green, "green", Some(5), 5, Some(0.5), Some(20.0)),
    row(Colour::Blue, "blue", Some(6), 6, Some(0.25), Some(10.0)),
    row(Colour::Violet, "violet", Some(7), 7, Some(0.1), Some(5.0)),
    row(Colour::Grey, "grey", Some(8), 8, None, Some(1.0)),
    row(Colour::White, "white", Some(9), 9, None, None),
    row(Colour::Gold, "gold", None, -1, Some(5.0), None),
    row(Colour::Silver, "silver", None, -2, Some(10.0), None),
    row(Colour::Pink, "pink", None, -3, None, None),
];

/// Tolerance where no band gives one, in percent (IEC 60062, from memory).
const TOLERANCE_UNMARKED: f64 = 20.0;

const fn row(
    colour: Colour,
    name: &'static str,
    digit: Option<u16>,
    multiplier: i32,
    tolerance: Option<f64>,
    drift: Option<f64>,
) -> ColourMeaning {
    ColourMeaning { colour, name, digit, multiplier, tolerance, drift }
}

impl Colour {
    /// Finds a colour by its English name.
    #[must_use]
    pub fn named(name: &str) -> Option<Colour> {
        let name = name.trim().to_ascii_lowercase();
        let name = if name == "gray" { "grey" } else { name.as_str() };
        CODE.iter().find(|row| row.name == name).map(|row| row.colour)
    }

    /// The English names, in the order of the code.
    pub fn names() -> impl Iterator<Item = &'static str> {
        CODE.iter().map(|row| row.name)
    }

    fn meaning(self) -> Option<&'static ColourMeaning> {
        CODE.iter().find(|row| row.colour == self)
    }
}

/// A resistor as its bands describe it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Marked {
    /// Resistance in ohms.
    pub resistance: f64,
    /// Tolerance as a ratio: 0.05 for 5 %.
    pub tolerance: f64,
    /// Temperature coefficient in parts per million per kelvin, where a sixth band gives it.
    pub drift_ppm: Option<f64>,
    /// The coarsest E series it belongs to; `None` is a hint that the bands were misread.
    pub series: Option<Series>,
    /// Whether the bands were taken from the other end.
    pub reversed: bool,
}

/// Why bands make no resistor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BandError {
    /// Too few or too many.
    #[error("a resistor has 3 to 6 bands, or one black band for a link, not {0}: count them again")]
    Count(usize),
    /// No sense from either end.
    #[error("these bands make no resistor from either end: look at them again in good light")]
    NoSense,
}

/// Reads bands from both ends and gives what makes sense, the likelier first.
///
/// A member of an E series goes before any other value, and the order as given before the reverse.
/// Three bands are two digits and a multiplier, four add a tolerance, five have three digits, six add
/// a temperature coefficient (IEC 60062). One black band is a link of no resistance (common practice,
/// no source).
pub fn read(bands: &[Colour]) -> Result<Vec<Marked>, BandError> {
    if bands == [Colour::Black] {
        return Ok(vec![Marked {
            resistance: 0.0,
            tolerance: 0.0,
            drift_ppm: None,
            series: None,
            reversed: false,
        }]);
    }
    if !(3..=6).contains(&bands.len()) {
        return Err(BandError::Count(bands.len()));
    }
    let mut backwards = bands.to_vec();
    backwards.reverse();
    let forwards = read_one_way(bands, false);
    let backwards = read_one_way(&backwards, true).filter(|other| !same(forwards, *other));
    let mut found: Vec<Marked> = forwards.into_iter().chain(backwards).collect();
    found.sort_by_key(|marked| (marked.series.is_none(), marked.reversed));
    if found.is_empty() { Err(BandError::NoSense) } else { Ok(found) }
}

/// Whether the other end says the same, as with bands that mirror each other.
fn same(forwards: Option<Marked>, other: Marked) -> bool {
    forwards.is_some_and(|forwards| Marked { reversed: true, ..forwards } == other)
}

fn read_one_way(bands: &[Colour], reversed: bool) -> Option<Marked> {
    let meanings: Vec<&ColourMeaning> =
        bands.iter().filter_map(|colour| colour.meaning()).collect();
    let (digits, rest) = meanings.split_at_checked(if bands.len() < 5 { 2 } else { 3 })?;
    let (multiplier, rest) = rest.split_first()?;
    let number = digits.iter().try_fold(0, |sum, row| Some(sum * 10 + row.digit?))?;
    // A value of a series never starts with zero, whichever end it is read from.
    if digits.first()?.digit == Some(0) {
        return None;
    }
    let tolerance = rest.first().map_or(Some(TOLERANCE_UNMARKED), |row| row.tolerance)?;
    let drift_ppm = match rest.get(1) {
        Some(row) => Some(row.drift?),
        None => None,
    };
    Some(Marked {
        resistance: scaled(f64::from(number), multiplier.multiplier),
        tolerance: tolerance / 100.0,
        drift_ppm,
        series: Series::of(if digits.len() == 2 { number * 10 } else { number }),
        reversed,
    })
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;

    fn bands(text: &str) -> Vec<Colour> {
        text.split(' ').map(|name| Colour::named(name).unwrap()).collect()
    }

    fn first(text: &str) -> Marked {
        read(&bands(text)).unwrap()[0]
    }

    /// IEC 60062 examples: the first quoted, the others recomputed.
    #[test]
    fn reads_worked_examples() {
        for (text, resistance, tolerance) in [
            ("red red blue brown brown", 2260.0, 0.01),
            ("brown black orange gold", 10e3, 0.05),
            ("yellow violet gold gold", 4.7, 0.05),
            ("brown black black gold brown", 10.0, 0.01),
        ] {
            let marked = first(text);
            assert_near(marked.resistance, resistance, 1e-15);
            assert_near(marked.tolerance, tolerance, 1e-15);
            assert!(!marked.reversed && marked.series.is_some(), "{text}");
        }
    }

    /// Digits, tolerances and multipliers of IEC 60062 (digits, brown, red, gold and silver quoted, the
    /// others from memory).
    #[test]
    fn every_colour_has_its_meaning() {
        let digits = "black brown red orange yellow green blue violet grey white";
        for (digit, colour) in (0_u16..).zip(bands(digits)) {
            assert_eq!(colour.meaning().unwrap().digit, Some(digit));
            assert_eq!(colour.meaning().unwrap().multiplier, i32::from(digit));
        }
        for (name, percent) in [
            ("brown", 1.0),
            ("red", 2.0),
            ("green", 0.5),
            ("blue", 0.25),
            ("violet", 0.1),
            ("gold", 5.0),
            ("silver", 10.0),
        ] {
            let marked = first(&format!("green blue red {name}"));
            assert_near(marked.tolerance, percent / 100.0, 1e-15);
        }
        for (name, ohms) in [("gold", 4.7), ("silver", 0.47), ("pink", 0.047)] {
            let marked = first(&format!("yellow violet {name} gold"));
            assert_near(marked.resistance, ohms, 1e-15);
        }
        assert_near(first("yellow violet red").tolerance, 0.2, 1e-15);
        assert_eq!(Colour::named(" Gray "), Some(Colour::Grey));
        assert_eq!(Colour::named("purple"), None);
    }

    /// Temperature coefficients (charts that quote IEC 60062).
    #[test]
    fn a_sixth_band_is_the_temperature_coefficient() {
        let marked = first("yellow violet black brown brown red");
        assert_near(marked.resistance, 4700.0, 1e-15);
        assert_near(marked.drift_ppm.unwrap(), 50.0, 1e-15);
        assert_eq!(first("yellow violet black brown brown").drift_ppm, None);
    }

    #[test]
    fn a_preferred_value_from_the_other_end_goes_first() {
        let turned = read(&bands("brown brown blue red red")).unwrap();
        assert_eq!(turned.len(), 2);
        assert!(turned[0].reversed);
        assert_near(turned[0].resistance, 2260.0, 1e-15);
        assert_near(turned[1].resistance, 11600.0, 1e-15);
        assert_eq!(turned[1].series, None);
    }

    #[test]
    fn gold_at_the_front_means_the_wrong_end() {
        let turned = read(&bands("gold orange black brown")).unwrap();
        assert_eq!(turned.len(), 1);
        assert!(turned[0].reversed);
        assert_near(turned[0].resistance, 10e3, 1e-15);
    }

    #[test]
    fn refuses_bands_without_sense() {
        assert_eq!(read(&bands("gold violet red gold")), Err(BandError::NoSense));
        assert_eq!(read(&bands("black violet red black")), Err(BandError::NoSense));
        assert_eq!(read(&bands("red red")), Err(BandError::Count(2)));
        assert!(read(&bands("black")).unwrap()[0].resistance <= 0.0);
        let grey = read(&bands("brown black black gold grey"));
        assert_eq!(grey, Err(BandError::NoSense), "grey is not a tolerance here");
    }

    proptest! {
        #[test]
        fn any_bands_are_read_or_refused(
            picks in prop::collection::vec(0_usize..13, 0..9),
        ) {
            let bands: Vec<Colour> = picks.iter().map(|pick| CODE[*pick].colour).collect();
            let turned: Vec<Colour> = bands.iter().rev().copied().collect();
            let values = |bands: &[Colour]| read(bands).map(|found| {
                let mut ohms: Vec<f64> = found.iter().map(|marked| marked.resistance).collect();
                ohms.sort_by(f64::total_cmp);
                ohms
            });
            prop_assert_eq!(values(&bands), values(&turned), "the end does not matter");
        }
    }
}
