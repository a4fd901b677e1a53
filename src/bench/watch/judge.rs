//! What a sample has to be, in numbers that are compared at once.

use crate::bench::Guard;
use crate::diagnostic::clean;
use crate::quantity::{Dimension, Quantity, Reading, Unit};
use crate::record::SampleFault;
use crate::window::{Bounds, Verdict};

/// What a sample has to be.
pub(super) struct Judge {
    unit: Unit,
    bounds: Bounds,
    /// The lowest and the highest value inside, in the nearest binary numbers.
    ends: [f64; 2],
}

/// What a sample is.
#[derive(Debug, PartialEq)]
pub(super) enum JudgedSample {
    /// A value inside (in the base unit).
    Inside(f64),
    /// Over range, where that is good.
    Open,
    /// Not as it has to be, with the value (in the base unit) where it is one.
    Outside(SampleFault, Option<f64>),
}

/// The unit that a guard's point is read in: its own, or the one of the window.
pub(super) fn unit(guard: &Guard) -> Unit {
    let Bounds { low, high, expected, .. } = guard.bounds;
    let of_window = low.or(high).or(expected).map_or(Dimension::NONE, |limit| limit.dimension);
    guard.point.unit().unwrap_or_else(|| Unit::base(of_window))
}

impl Judge {
    /// # Errors
    /// A limit that the point can't be compared with, in words.
    pub(super) fn new(guard: &Guard) -> Result<Self, String> {
        let (bounds, unit) = (guard.bounds, unit(guard));
        for limit in [bounds.low, bounds.high].into_iter().flatten() {
            if limit.dimension != unit.dimension() {
                let read = unit.dimension().name();
                return Err(format!(
                    "its limit {limit} is {}, and it reads {read}",
                    limit.dimension.name()
                ));
            }
        }
        let ends = bounds.ends(unit.dimension()).map(|end| end.to_f64());
        Ok(Self { unit, bounds, ends })
    }

    /// Judges a reply. What is no number is never inside.
    pub(super) fn judge(&self, reply: &str) -> JudgedSample {
        match plain_number(reply).filter(|value| self.is_within(*value)) {
            Some(value) => JudgedSample::Inside(value),
            None => self.judge_exactly(reply),
        }
    }

    /// Judges by the one rule for all readings.
    fn judge_exactly(&self, reply: &str) -> JudgedSample {
        let Ok(reading) = Reading::parse(reply, &self.unit) else {
            return match Quantity::parse(reply.trim()) {
                // Where nothing is judged and nothing says what is read, a unit that comes with the value is as good as none.
                Ok(value) if self.takes_any_unit() => JudgedSample::Inside(value.to_f64()),
                _ => {
                    let reply = clean(reply.trim());
                    JudgedSample::Outside(SampleFault::Unread { reply }, None)
                }
            };
        };
        match (self.bounds.judge(&reading), &reading) {
            (Verdict::Inside | Verdict::NotJudged, Reading::Number(quantity)) => {
                JudgedSample::Inside(quantity.to_f64())
            }
            (Verdict::Inside, Reading::OverRange) => JudgedSample::Open,
            (_, Reading::Number(quantity)) => {
                let (unit, window) = (self.unit.clone(), Box::new(self.bounds));
                let fault = SampleFault::Outside { reading, unit, window };
                JudgedSample::Outside(fault, Some(quantity.to_f64()))
            }
            (_, Reading::OverRange) => JudgedSample::Outside(SampleFault::OverRange, None),
            (_, Reading::NotANumber) => JudgedSample::Outside(SampleFault::NotANumber, None),
        }
    }

    fn takes_any_unit(&self) -> bool {
        self.bounds.record_only && self.unit.dimension() == Dimension::NONE
    }

    /// Between the ends and on neither, so that rounding can't matter; what compares with nothing is not.
    fn is_within(&self, value: f64) -> bool {
        let [low, high] = self.ends;
        value > low && value < high
    }
}

/// The usual reply, without the exact arithmetic: nearly all samples are such numbers, and nothing is told of them. `None`
/// for whatever might mean anything else.
fn plain_number(reply: &str) -> Option<f64> {
    let is_plain = |byte| matches!(byte, b'0'..=b'9' | b'+' | b'-' | b'.' | b'e' | b'E');
    let mantissa = reply.split(['e', 'E']).next()?;
    if reply.len() > 24 || mantissa.ends_with('.') || !reply.bytes().all(is_plain) {
        return None;
    }
    // Far from what stands for "over range", and from exponents that nobody means.
    let value: f64 = reply.parse().ok()?;
    (1e-30..1e37).contains(&value.abs()).then_some(value)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::*;
    use crate::procedure::Point;

    fn judge(point: &str, bounds: Bounds) -> Judge {
        let point = Point::parse(point);
        Judge::new(&Guard { point, bounds, limiting_is_outside: false }).unwrap()
    }

    fn quantity(text: &str) -> Quantity {
        Quantity::parse(text).unwrap()
    }

    /// What is said of a sample outside, with its value.
    fn told(sample: JudgedSample) -> Option<(String, Option<f64>)> {
        match sample {
            JudgedSample::Outside(fault, value) => Some((fault.to_string(), value)),
            JudgedSample::Inside(_) | JudgedSample::Open => None,
        }
    }

    #[test]
    fn limits_are_inside_and_the_next_digit_is_not() {
        let between = Bounds::between(quantity("36 mA"), quantity("84 mA")).unwrap();
        let judge = judge("plus.current", between);
        for inside in ["0.036", "0.084", "8.4E-2", "+3.600000E-02", "0.06"] {
            assert!(matches!(judge.judge(inside), JudgedSample::Inside(_)), "{inside}");
        }
        for outside in ["0.0359999", "0.0840001", "-0.06", "0", "1e30"] {
            assert!(matches!(judge.judge(outside), JudgedSample::Outside(..)), "{outside}");
        }
        let words = "84.1 mA is outside its window (36 mA to 84 mA)";
        assert_eq!(told(judge.judge("0.0841")), Some((words.to_owned(), Some(0.0841))));
    }

    #[test]
    fn a_current_the_other_way_round_is_held_to_its_size() {
        let judge = judge("plus.current", Bounds::at_most(quantity("50 mA")));
        assert_eq!(judge.judge("-0.05"), JudgedSample::Inside(-0.05));
        let words = "-2 A is outside its window (at most 50 mA, whichever way round)";
        assert_eq!(told(judge.judge("-2")), Some((words.to_owned(), Some(-2.0))));
    }

    #[test]
    fn what_no_output_can_deliver_is_outside_even_where_nothing_is_judged() {
        let judge = judge("plus.voltage", Bounds::record_only());
        for reply in ["1e6", "-1E+06", "9.9e36"] {
            let judged = judge.judge(reply);
            assert!(matches!(judged, JudgedSample::Outside(..)), "{reply}: {judged:?}");
        }
    }

    #[test]
    fn what_is_no_number_is_outside_even_where_nothing_is_judged() {
        let replies = [
            "",
            " ",
            "nan",
            "9.91E37",
            "9.9E37",
            "-9.9e37",
            "inf",
            "12,345",
            "1.2 3",
            "OK",
            "ERROR",
            "0.06 V",
            "0x10",
            "\u{1b}[2J",
            "1e999999",
        ];
        let window = Bounds::at_most(quantity("1e50 A"));
        for judge in [judge("plus.current", window), judge("plus.current", Bounds::record_only())] {
            for reply in replies {
                let judged = judge.judge(reply);
                assert!(matches!(judged, JudgedSample::Outside(..)), "{reply:?}: {judged:?}");
            }
            assert_eq!(judge.judge("0.06"), JudgedSample::Inside(0.06));
        }
    }

    #[test]
    fn a_unit_is_taken_where_nothing_is_judged_and_nothing_says_what_is_read() {
        let judge = judge("temperature", Bounds::record_only());
        assert_eq!(judge.judge("5 V"), JudgedSample::Inside(5.0));
        assert_eq!(judge.judge("0.25"), JudgedSample::Inside(0.25));
        for no_number in ["", "V", "OK", "12,5 V", "nan V"] {
            assert!(matches!(judge.judge(no_number), JudgedSample::Outside(..)), "{no_number}");
        }
    }

    #[test]
    fn over_range_is_good_where_an_open_circuit_is() {
        let open = judge("resistance", Bounds::at_least(quantity("10 kohm")).with_open_ok(true));
        assert_eq!(open.judge("9.9E37"), JudgedSample::Open);
        assert_eq!(open.judge("12000"), JudgedSample::Inside(12_000.0));
        assert_eq!(open.judge("9.91E37"), JudgedSample::Outside(SampleFault::NotANumber, None));
        assert!(matches!(open.judge("12"), JudgedSample::Outside(..)));
    }

    #[test]
    fn a_reply_is_cleaned_before_it_is_told() {
        let judge = judge("plus.current", Bounds::record_only());
        let (words, _) = told(judge.judge("\u{1b}[2Jgone\n")).unwrap();
        assert!(words.contains("gone") && !words.contains(char::is_control), "{words:?}");
    }

    #[test]
    fn a_limit_of_another_dimension_is_refused() {
        let bounds = Bounds::at_most(quantity("5 V"));
        let point = Point::parse("plus.current");
        let refused = Judge::new(&Guard { point, bounds, limiting_is_outside: false });
        assert_eq!(refused.err().unwrap(), "its limit 5 V is voltage, and it reads current");
    }

    proptest! {
        /// What is judged without the exact arithmetic is judged as with it.
        #[test]
        fn a_plain_number_is_what_it_exactly_is(
            reply in prop_oneof!["[-+]?[0-9]{0,4}[.]?[0-9]{0,12}([eE][-+]?[0-9]{1,2})?", "[-+.eE0-9]{0,26}"],
            high in -40..45_i32,
        ) {
            let judge = judge("plus.current", Bounds::at_most(quantity(&format!("1e{high} A"))));
            prop_assert_eq!(judge.judge(&reply), judge.judge_exactly(&reply));
        }
    }
}
