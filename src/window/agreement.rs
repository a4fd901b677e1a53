//! Two readings of the same thing: how far they are apart, and how far they may be.

use super::bounds::width;
use super::{WindowError, Within};
use crate::quantity::{Quantity, Reading};

/// How far two readings of the same are apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Closeness {
    /// The size of their difference; none where one of them is no number.
    pub difference: Option<Quantity>,
    /// The most it may be; none where the first is no number.
    pub within: Option<Quantity>,
    /// Whether they agree; the limit itself is good.
    pub agreed: bool,
}

impl Closeness {
    /// Compares a second reading with the first; a percentage is one of the first.
    ///
    /// Two that are over range agree: both people saw an open circuit. What is no number agrees with nothing.
    ///
    /// # Errors
    /// A width that does not go with the readings, or values that differ too much in size.
    pub fn of(first: &Reading, second: &Reading, within: Within) -> Result<Self, WindowError> {
        let Reading::Number(first) = first else {
            let agreed = matches!((first, second), (Reading::OverRange, Reading::OverRange));
            return Ok(Self { difference: None, within: None, agreed });
        };
        let limit = width(*first, within)?;
        let dimension = first.dimension.minus(first.dimension).unwrap_or(first.dimension);
        let within = Some(Quantity::new(limit, dimension));
        let Reading::Number(second) = second else {
            return Ok(Self { difference: None, within, agreed: false });
        };
        let apart = second.value.checked_add(first.value.neg());
        let apart = apart.ok_or(WindowError::TooManyDigits(*first))?.abs();
        let agreed = second.dimension == first.dimension && apart <= limit;
        Ok(Self { difference: Some(Quantity::new(apart, dimension)), within, agreed })
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;
    use crate::quantity::{Decimal, Unit};

    fn reading(text: &str) -> Reading {
        Reading::parse(text, &Unit::parse("mA").unwrap()).unwrap()
    }

    fn agreed(first: &str, second: &str, within: Within) -> bool {
        Closeness::of(&reading(first), &reading(second), within).unwrap().agreed
    }

    #[test]
    fn the_limit_itself_is_good_and_the_next_digit_is_not() {
        let two = Within::Absolute(Quantity::parse("2 mA").unwrap());
        assert!(agreed("60", "62", two) && agreed("60", "58.00", two) && agreed("-60", "-62", two));
        assert!(!agreed("60", "62.01", two) && !agreed("60", "57.99", two));
        assert!(!agreed("60", "-60", two));
    }

    #[test]
    fn a_percentage_is_one_of_the_first() {
        let ten = Within::Percent(Decimal::new(10, 0));
        assert!(agreed("100", "110", ten) && !agreed("110", "98.9", ten));
        let apart = Closeness::of(&reading("100"), &reading("104"), ten).unwrap();
        assert_eq!(apart.difference, Some(Quantity::parse("4 mA").unwrap()));
        assert_eq!(apart.within, Some(Quantity::parse("10 mA").unwrap()));
    }

    #[test]
    fn open_agrees_with_open_and_nothing_with_what_is_no_number() {
        let two = Within::Absolute(Quantity::parse("2 mA").unwrap());
        assert!(agreed("OL", "OL", two));
        for (first, second) in [("OL", "60"), ("60", "OL"), ("NaN", "NaN"), ("60", "NaN")] {
            assert!(!agreed(first, second, two), "{first} and {second}");
        }
    }

    #[test]
    fn two_temperatures_are_kelvins_apart() {
        let warm = |text: &str| Reading::Number(Quantity::parse(text).unwrap());
        let two = Within::Absolute(Quantity::parse("2 K").unwrap());
        let apart = Closeness::of(&warm("40 degC"), &warm("41.5 degC"), two).unwrap();
        assert!(apart.agreed);
        assert_eq!(apart.difference, Some(Quantity::parse("1.5 K").unwrap()));
    }

    #[test]
    fn a_width_of_another_kind_is_an_error() {
        let volts = Within::Absolute(Quantity::parse("2 V").unwrap());
        assert!(Closeness::of(&reading("60"), &reading("60"), volts).is_err());
    }
}
