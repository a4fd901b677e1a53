//! A window in short words.

use super::bounds::Bounds;
use crate::quantity::{Decimal, Quantity, Unit};

/// Digits that are shown: more than a bench meter has, fewer than a formula gives.
const DIGITS: u32 = 5;

/// Digits of a limit on paper: as many as a pocket meter shows (common practice, no source).
const PAPER_DIGITS: u32 = 4;

impl Bounds {
    /// Says what is accepted: `at most 15 %`, `36 mA to 84 mA, expected 60 mA`.
    ///
    /// A limit that a formula gave is shown with five digits, rounded into the window, so that
    /// nothing shown as accepted is outside; `unit` picks the unit as in [`Quantity::engineering`].
    pub fn describe(&self, unit: Option<&Unit>) -> String {
        self.words(unit, DIGITS)
    }

    /// Says what is accepted as [`Bounds::describe`] does, with four digits: to be compared by eye.
    pub fn describe_on_paper(&self, unit: Option<&Unit>) -> String {
        let is_narrow = match (&self.low, &self.high) {
            (Some(low), Some(high)) => {
                let high = rounded_up(high.value.neg(), PAPER_DIGITS).neg();
                rounded_up(low.value, PAPER_DIGITS) > high
            }
            _ => false,
        };
        self.words(unit, if is_narrow { DIGITS } else { PAPER_DIGITS })
    }

    fn words(&self, unit: Option<&Unit>, digits: u32) -> String {
        let show = |value: Decimal, like: &Quantity| {
            Quantity::new(value, like.dimension).engineering_exact(unit)
        };
        let low = self.low.as_ref().map(|low| show(rounded_up(low.value, digits), low));
        let high =
            self.high.as_ref().map(|high| show(rounded_up(high.value.neg(), digits).neg(), high));
        let mut words = match (low, high) {
            _ if self.judges_nothing() => "recorded, not judged".to_owned(),
            (Some(low), Some(high)) if low == high => format!("exactly {low}"),
            (Some(low), Some(high)) => format!("{low} to {high}"),
            (Some(low), None) => format!("{low} or more"),
            (None, Some(high)) => format!("at most {high}"),
            (None, None) => String::new(),
        };
        if let Some(expected) = &self.expected {
            let rounded = expected.value.round_significant(digits);
            words += &format!(", expected {}", show(rounded, expected));
        }
        if self.open_ok {
            words += ", open is good";
        }
        words
    }
}

/// Rounds to the next number with few digits that is not below.
fn rounded_up(value: Decimal, digits: u32) -> Decimal {
    let nearest = value.round_significant(digits);
    let last_place = Decimal::new(1, value.magnitude() + 1 - digits.cast_signed());
    if nearest < value { nearest.checked_add(last_place).unwrap_or(value) } else { nearest }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;
    use crate::quantity::Decimal;
    use crate::window::Within;

    fn quantity(text: &str) -> Quantity {
        Quantity::parse(text).unwrap()
    }

    #[test]
    fn says_each_form_in_short_words() {
        let idle = Bounds::near(quantity("60 mA"), Within::Percent(Decimal::new(40, 0))).unwrap();
        let rails = Bounds::between(quantity("-0.5 V"), quantity("1.25 V")).unwrap();
        for (bounds, unit, words) in [
            (Bounds::at_most(quantity("15 %")), "%", "at most 15 %"),
            (
                Bounds::at_least(quantity("10 kohm")).with_open_ok(true),
                "ohm",
                "10 kohm or more, open is good",
            ),
            (idle, "A", "36 mA to 84 mA, expected 60 mA"),
            (rails, "V", "-500 mV to 1.25 V"),
            (Bounds::at_most(quantity("2")), "", "at most 2"),
            (Bounds::record_only(), "V", "recorded, not judged"),
            (
                Bounds::record_only().with_expected(quantity("5 V")),
                "V",
                "recorded, not judged, expected 5 V",
            ),
        ] {
            assert_eq!(bounds.describe(Some(&Unit::parse(unit).unwrap())), words);
        }
        assert_eq!(idle.describe(None), "36 mA to 84 mA, expected 60 mA");
    }

    #[test]
    fn a_worked_out_limit_is_shown_short_and_never_beyond_the_window() {
        let between = |low, high| Bounds::between(quantity(low), quantity(high)).unwrap();
        for (bounds, words) in [
            (between("479.0926276 mA", "609.754253308 mA"), "479.1 mA to 609.75 mA"),
            (between("-46.5618592019 V", "-40.4696533251 V"), "-46.561 V to -40.47 V"),
            (between("9.999912 V", "99.999961 V"), "10 V to 99.999 V"),
            (between("218.5 V", "241.5 V"), "218.5 V to 241.5 V"),
        ] {
            assert_eq!(bounds.describe(None), words);
        }
        for (bounds, words) in [
            (between("8.59571 mA", "27.50649 mA"), "8.596 mA to 27.5 mA"),
            (between("-46.5618592019 V", "-40.4696533251 V"), "-46.56 V to -40.47 V"),
            // Four digits would leave nothing of it.
            (between("12.341 V", "12.349 V"), "12.341 V to 12.349 V"),
        ] {
            assert_eq!(bounds.describe_on_paper(None), words);
        }
        let near = Bounds::near(quantity("544.423440454 mA"), Within::Percent(Decimal::new(12, 0)));
        assert_eq!(near.unwrap().describe(None), "479.1 mA to 609.75 mA, expected 544.42 mA");
    }
}
