//! A reading on the scale of its window, in one line of text.

use std::cmp::Ordering;

use super::bounds::Bounds;
use super::side::Side;
use super::verdict::Verdict;
use crate::quantity::{Decimal, Quantity, Reading};

/// Where a value lies in its window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindowPosition {
    /// 0 at the low end of the scale, 1 at the high end, beyond either outside of it.
    pub fraction: f64,
}

/// Gives the place of a value on the scale of its window.
///
/// The scale runs from limit to limit. With one limit it is as long as the limit is from zero: `at
/// most 5 V` runs from 0 V to 5 V, `at least 5 V` from 5 V to 10 V. In a window of no width its one
/// value is at 0.5, what is lower at -1, what is higher at 2. `None` for what is no number, measures
/// something else or is too many digits away, and where there is no scale: without limits, or with
/// zero as the only one.
pub fn position(bounds: &Bounds, reading: &Reading) -> Option<WindowPosition> {
    match reading {
        Reading::Number(value) => {
            Some(WindowPosition { fraction: BarScale::of(bounds)?.fraction(value)? })
        }
        Reading::OverRange | Reading::NotANumber => None,
    }
}

/// The stretch of values a bar shows.
struct BarScale {
    low: Quantity,
    high: Quantity,
}

impl BarScale {
    fn of(bounds: &Bounds) -> Option<BarScale> {
        if bounds.judges_nothing() {
            return None;
        }
        let beyond = |limit: Quantity, length: Decimal| {
            let end = limit.value.checked_add(length).filter(|_| !length.is_zero())?;
            Some(Quantity::new(end, limit.dimension))
        };
        match (bounds.low, bounds.high) {
            (Some(low), Some(high)) => Some(BarScale { low, high }),
            (Some(low), None) => Some(BarScale { low, high: beyond(low, low.value.abs())? }),
            (None, Some(high)) => {
                Some(BarScale { low: beyond(high, high.value.abs().neg())?, high })
            }
            (None, None) => None,
        }
    }

    /// Divides in decimals, so that a value half way is drawn half way.
    fn fraction(&self, value: &Quantity) -> Option<f64> {
        let order = value.compare(&self.low)?;
        let above_low = |value: &Quantity| value.value.checked_add(self.low.value.neg());
        let length = above_low(&self.high)?;
        if length.is_zero() {
            return Some(match order {
                Ordering::Less => -1.0,
                Ordering::Equal => 0.5,
                Ordering::Greater => 2.0,
            });
        }
        Some(above_low(value)?.checked_div(length)?.to_f64())
    }
}

/// The characters a bar is drawn with.
struct BarCharacters {
    blank: char,
    limit: char,
    expected: char,
    value: char,
}

const UNICODE: BarCharacters =
    BarCharacters { blank: '·', limit: '|', expected: '┃', value: '▲' };
const ASCII: BarCharacters = BarCharacters { blank: '.', limit: '|', expected: '+', value: '^' };

/// Narrowest bar that still has room between its ends.
const NARROWEST: usize = 6;

/// Draws a reading in its window in one line of `width` characters: ` |····┃··▲·······| `.
///
/// The limits stand at the ends; an end without a limit is open. A value beyond an end is a `<` or
/// `>` outside of it, over-range a `>`; what is no number leaves no mark. The value hides the
/// expectation when both fall on one place. Empty where there is no scale (see [`position`]) or
/// `width` is below 6.
pub fn bar(bounds: &Bounds, reading: &Reading, width: usize, ascii: bool) -> String {
    let Some(scale) = BarScale::of(bounds).filter(|_| width >= NARROWEST) else {
        return String::new();
    };
    let marks = if ascii { ASCII } else { UNICODE };
    let end = |limit: Option<Quantity>| if limit.is_some() { marks.limit } else { marks.blank };
    let room = width - 4;
    let cell = |fraction: f64| (fraction.clamp(0.0, 1.0) * (room - 1) as f64).round() as usize;
    let expected = bounds.expected.and_then(|expected| scale.fraction(&expected));
    let expected = expected.filter(|fraction| (0.0..=1.0).contains(fraction)).map(cell);
    let place = MarkPlace::of(bounds, &scale, reading);
    let value = if let MarkPlace::At(fraction) = place { Some(cell(fraction)) } else { None };
    let inner = (0..room).map(|index| match Some(index) {
        place if place == value => marks.value,
        place if place == expected => marks.expected,
        _ => marks.blank,
    });
    let before = if place == MarkPlace::Below { '<' } else { ' ' };
    let after = if place == MarkPlace::Above { '>' } else { ' ' };
    let ends = ([before, end(bounds.low)], [end(bounds.high), after]);
    ends.0.into_iter().chain(inner).chain(ends.1).collect()
}

/// Where the mark of a reading goes.
#[derive(PartialEq)]
enum MarkPlace {
    Below,
    At(f64),
    Above,
    Nowhere,
}

impl MarkPlace {
    /// Takes the verdict's word first: a character is too coarse to tell a value from its limit.
    fn of(bounds: &Bounds, scale: &BarScale, reading: &Reading) -> MarkPlace {
        match (reading, bounds.judge(reading)) {
            (Reading::OverRange, _) | (_, Verdict::Outside(Side::Above)) => MarkPlace::Above,
            (_, Verdict::Outside(Side::Below | Side::BelowZero)) => MarkPlace::Below,
            (Reading::Number(value), Verdict::Outside(Side::Absurd)) => {
                if value.value.is_negative() { MarkPlace::Below } else { MarkPlace::Above }
            }
            (Reading::Number(value), Verdict::Inside) => match scale.fraction(value) {
                Some(fraction) if fraction < 0.0 && bounds.low.is_none() => MarkPlace::Below,
                Some(fraction) if fraction > 1.0 && bounds.high.is_none() => MarkPlace::Above,
                Some(fraction) => MarkPlace::At(fraction),
                None => MarkPlace::Nowhere,
            },
            _ => MarkPlace::Nowhere,
        }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;
    use crate::window::Within;

    fn quantity(text: &str) -> Quantity {
        Quantity::parse(text).unwrap()
    }

    fn number(text: &str) -> Reading {
        Reading::Number(quantity(text))
    }

    fn idle() -> Bounds {
        Bounds::near(quantity("60 mA"), Within::Percent(Decimal::new(40, 0))).unwrap()
    }

    #[test]
    fn the_scale_runs_from_limit_to_limit() {
        let at = |bounds: &Bounds, text: &str| position(bounds, &number(text)).unwrap().fraction;
        let close = |found: f64, expected: f64| (found - expected).abs() < 1e-12;
        for (text, fraction) in
            [("36 mA", 0.0), ("60 mA", 0.5), ("84 mA", 1.0), ("132 mA", 2.0), ("-12 mA", -1.0)]
        {
            assert!(close(at(&idle(), text), fraction), "{text}");
        }
        let ceiling = Bounds::at_most(quantity("5 V"));
        assert!(close(at(&ceiling, "4 V"), 0.8) && close(at(&ceiling, "-5 V"), -1.0));
        let floor = Bounds::at_least(quantity("5 V"));
        assert!(close(at(&floor, "5 V"), 0.0) && close(at(&floor, "7.5 V"), 0.5));
        let below_zero = Bounds::at_most(quantity("-5 V"));
        assert!(close(at(&below_zero, "-10 V"), 0.0) && close(at(&below_zero, "-5 V"), 1.0));
        let single = Bounds::between(quantity("5 V"), quantity("5 V")).unwrap();
        assert!(
            close(at(&single, "5 V"), 0.5)
                && close(at(&single, "4 V"), -1.0)
                && close(at(&single, "6 V"), 2.0)
        );
    }

    #[test]
    fn there_is_no_position_without_a_scale_or_a_number() {
        assert_eq!(position(&Bounds::record_only(), &number("5 V")), None);
        assert_eq!(position(&Bounds::at_most(quantity("0 V")), &number("5 V")), None);
        assert_eq!(position(&idle(), &number("5 V")), None);
        assert_eq!(position(&idle(), &Reading::OverRange), None);
        assert_eq!(position(&idle(), &Reading::NotANumber), None);
    }

    #[test]
    fn draws_the_value_between_its_limits() {
        for (text, drawn) in [
            ("36 mA", " |▲···┃···| "),
            ("50 mA", " |··▲·┃···| "),
            ("60 mA", " |····▲···| "),
            ("84 mA", " |····┃··▲| "),
            ("84.0000001 mA", " |····┃···|>"),
            ("35.9999999 mA", "<|····┃···| "),
        ] {
            assert_eq!(bar(&idle(), &number(text), 12, false), drawn, "{text}");
        }
        assert_eq!(bar(&idle(), &number("50 mA"), 12, true), " |..^.+...| ");
    }

    #[test]
    fn an_end_without_a_limit_is_open() {
        let floor = Bounds::at_least(quantity("10 kohm")).with_open_ok(true);
        assert_eq!(bar(&floor, &number("10 kohm"), 12, true), " |^........ ");
        assert_eq!(bar(&floor, &number("5 Mohm"), 12, true), " |.........>");
        assert_eq!(bar(&floor, &Reading::OverRange, 12, true), " |.........>");
        assert_eq!(bar(&floor, &number("2 ohm"), 12, true), "<|......... ");
        let ceiling = Bounds::at_most(quantity("15 %"));
        assert_eq!(bar(&ceiling, &number("15 %"), 12, true), " ........^| ");
        assert_eq!(bar(&ceiling, &number("-1 %"), 12, true), "<.........| ");
    }

    #[test]
    fn what_is_no_number_leaves_no_mark() {
        assert_eq!(bar(&idle(), &Reading::NotANumber, 12, true), " |....+...| ");
        assert_eq!(bar(&idle(), &number("5 V"), 12, true), " |....+...| ");
    }

    #[test]
    fn an_expectation_off_the_scale_is_not_drawn() {
        let bounds = Bounds::at_most(quantity("1 V")).with_expected(quantity("2 V"));
        assert_eq!(bar(&bounds, &number("1 V"), 12, true), " ........^| ");
    }

    #[test]
    fn keeps_its_width_or_draws_nothing() {
        for width in 0..80 {
            let drawn = bar(&idle(), &number("50 mA"), width, false);
            assert_eq!(drawn.chars().count(), if width < NARROWEST { 0 } else { width });
        }
        assert_eq!(bar(&Bounds::record_only(), &number("5 V"), 40, false), "");
    }
}
