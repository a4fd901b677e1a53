//! A reading against its window.

use std::cmp::Ordering;

use serde::{Deserialize, Serialize};

use super::bounds::Bounds;
use super::credible;
use super::side::Side;
use crate::quantity::{Dimension, Quantity, Reading, Unit};

/// How a reading stands to its window.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Within the limits, or on one of them.
    Inside,
    /// Beyond a limit, or no value at all.
    Outside(Side),
    /// So close to a limit that this meter cannot tell the side: neither inside nor outside.
    Undecided,
    /// Recorded against no limit.
    NotJudged,
}

impl Verdict {
    /// The verdict in words: what does not hold is written large, so that it stands out without
    /// colour.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Inside => "inside",
            Self::Outside(Side::Below) => "OUTSIDE, too low",
            Self::Outside(Side::Above) => "OUTSIDE, too high",
            Self::Outside(Side::OverRange) => "OUTSIDE, over range",
            Self::Outside(Side::NoNumber) => "OUTSIDE, no value",
            Self::Outside(Side::BelowZero) => "OUTSIDE, can't be below zero",
            Self::Outside(Side::Absurd) => "OUTSIDE, can't be so large",
            Self::Undecided => "UNDECIDED, too close for this meter",
            Self::NotJudged => "recorded",
        }
    }

    /// Tells whether the reading is inside; an undecided one is not.
    #[must_use]
    pub fn is_inside(self) -> bool {
        self == Self::Inside
    }

    /// Tells whether it is no value that its kind can have: the reading is at fault, and says nothing of the equipment.
    #[must_use]
    pub fn is_impossible(self) -> bool {
        matches!(self, Self::Outside(Side::BelowZero | Side::Absurd))
    }

    /// Tells whether the reading is outside; an undecided one is not.
    #[must_use]
    pub fn is_outside(self) -> bool {
        matches!(self, Self::Outside(_))
    }
}

impl Bounds {
    /// Judges a reading; a value on a limit is inside.
    ///
    /// A value of another dimension than a limit is `Outside(NoNumber)`: it cannot be compared, so
    /// it cannot be inside. A window without any limit judges no value, like one that only records.
    /// Neither takes a value that its kind can't have. A single limit holds as in [`Bounds::reach`].
    pub fn judge(&self, reading: &Reading) -> Verdict {
        match reading {
            Reading::Number(value) => self.judge_value(value),
            Reading::OverRange if self.takes_open() => Verdict::Inside,
            Reading::OverRange => Verdict::Outside(Side::OverRange),
            Reading::NotANumber => Verdict::Outside(Side::NoNumber),
        }
    }

    /// The lowest and the highest value of a kind that this window does not refuse, the limits themselves with them.
    #[must_use]
    pub fn ends(&self, dimension: Dimension) -> [Quantity; 2] {
        let [lowest, highest] = credible::ends(dimension, self.sign);
        let bounds = if self.judges_nothing() { *self } else { self.reach() };
        let judged = |limit: Option<Quantity>| limit.filter(|_| !self.judges_nothing());
        let low = judged(bounds.low).filter(|low| low.value > lowest.value).unwrap_or(lowest);
        let high = judged(bounds.high).filter(|high| high.value < highest.value).unwrap_or(highest);
        [low, high]
    }

    /// Why a value is outside, to be read behind it: `is outside its window (at most 50 mA)`.
    #[must_use]
    pub fn why_outside(&self, reading: &Reading, unit: Option<&Unit>) -> String {
        let (Verdict::Outside(side), Reading::Number(value)) = (self.judge(reading), reading)
        else {
            return format!("is outside its window ({})", self.describe(unit));
        };
        match side {
            Side::BelowZero => format!(
                "can't be: {} is never below zero here. Leads swapped, a wrong zero, or the meter's fault",
                value.dimension.name()
            ),
            Side::Absurd => {
                let [low, high] = credible::ends(value.dimension, self.sign)
                    .map(|end| end.engineering_exact(unit));
                format!(
                    "can't be: at a bench it is {low} to {high}. A wrong unit or range, or the meter's fault"
                )
            }
            Side::Below if self.low.is_none() => {
                format!("is outside its window ({}, whichever way round)", self.describe(unit))
            }
            Side::Above if self.high.is_none() => {
                format!("is outside its window ({}, whichever way round)", self.describe(unit))
            }
            Side::Below | Side::Above | Side::OverRange | Side::NoNumber => {
                format!("is outside its window ({})", self.describe(unit))
            }
        }
    }

    fn judge_value(&self, value: &Quantity) -> Verdict {
        if let Some(side) = credible::fault(value, self.sign) {
            return Verdict::Outside(side);
        }
        if self.judges_nothing() {
            return Verdict::NotJudged;
        }
        let Bounds { low, high, .. } = self.reach();
        let beyond = |limit: &Option<Quantity>, forbidden: Ordering, side: Side| {
            let order = limit.as_ref().map(|limit| value.compare(limit))?;
            match order {
                None => Some(Side::NoNumber),
                Some(order) => (order == forbidden).then_some(side),
            }
        };
        let below = beyond(&low, Ordering::Less, Side::Below);
        let outside = below.or_else(|| beyond(&high, Ordering::Greater, Side::Above));
        outside.map_or(Verdict::Inside, Verdict::Outside)
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;
    use crate::quantity::{Decimal, Unit};
    use crate::window::Within;

    const BELOW: Verdict = Verdict::Outside(Side::Below);
    const ABOVE: Verdict = Verdict::Outside(Side::Above);
    const INSIDE: Verdict = Verdict::Inside;

    fn quantity(text: &str) -> Quantity {
        Quantity::parse(text).unwrap()
    }

    fn judge(bounds: &Bounds, text: &str) -> Verdict {
        bounds.judge(&Reading::Number(quantity(text)))
    }

    fn assert_all(bounds: &Bounds, cases: &[(&str, Verdict)]) {
        for (text, verdict) in cases {
            assert_eq!(judge(bounds, text), *verdict, "{text} against {}", bounds.describe(None));
        }
    }

    #[test]
    fn at_most_holds_up_to_its_limit() {
        let bounds = Bounds::at_most(quantity("0.3 ohm"));
        assert_all(
            &bounds,
            &[("299 mohm", INSIDE), ("300 mohm", INSIDE), ("301 mohm", ABOVE), ("0 ohm", INSIDE)],
        );
        assert_eq!(judge(&bounds, "0.300000000000000000000000000001 ohm"), ABOVE);
    }

    #[test]
    fn at_least_holds_from_its_limit() {
        let bounds = Bounds::at_least(quantity("10 kohm"));
        assert_all(
            &bounds,
            &[
                ("9999 ohm", BELOW),
                ("10000 ohm", INSIDE),
                ("0.01 Mohm", INSIDE),
                ("1 Gohm", INSIDE),
            ],
        );
    }

    #[test]
    fn between_holds_from_limit_to_limit() {
        let bounds = Bounds::between(quantity("-0.3 V"), quantity("0.3 V")).unwrap();
        assert_all(
            &bounds,
            &[
                ("-301 mV", BELOW),
                ("-300 mV", INSIDE),
                ("-299 mV", INSIDE),
                ("299 mV", INSIDE),
                ("300 mV", INSIDE),
                ("301 mV", ABOVE),
            ],
        );
    }

    #[test]
    fn near_holds_on_both_sides_of_its_centre() {
        let percent =
            Bounds::near(quantity("60 mA"), Within::Percent(Decimal::new(40, 0))).unwrap();
        assert_all(
            &percent,
            &[("35.9 mA", BELOW), ("36 mA", INSIDE), ("0.084 A", INSIDE), ("84.1 mA", ABOVE)],
        );
        let absolute =
            Bounds::near(quantity("-48 V"), Within::Absolute(quantity("500 mV"))).unwrap();
        assert_all(
            &absolute,
            &[("-48.51 V", BELOW), ("-48.5 V", INSIDE), ("-47.5 V", INSIDE), ("-47.49 V", ABOVE)],
        );
    }

    #[test]
    fn a_window_of_no_width_holds_its_one_value() {
        let bounds = Bounds::between(quantity("5 V"), quantity("5 V")).unwrap();
        assert_all(&bounds, &[("4.999 V", BELOW), ("5000 mV", INSIDE), ("5.001 V", ABOVE)]);
    }

    #[test]
    fn what_is_no_number_is_never_inside() {
        let limits = Bounds::at_least(quantity("10 kohm"));
        for bounds in [limits, limits.with_open_ok(true), Bounds::record_only().with_open_ok(true)]
        {
            let verdict = bounds.judge(&Reading::NotANumber);
            assert_eq!(verdict, Verdict::Outside(Side::NoNumber));
        }
    }

    #[test]
    fn over_range_is_inside_only_where_open_is_good() {
        let (over_range, outside) = (Reading::OverRange, Verdict::Outside(Side::OverRange));
        for bounds in [Bounds::at_least(quantity("10 kohm")), Bounds::record_only()] {
            assert_eq!(bounds.judge(&over_range), outside);
            assert_eq!(bounds.with_open_ok(true).judge(&over_range), INSIDE);
        }
        let earth = Bounds::at_most(quantity("0.3 ohm"));
        let between = Bounds::between(quantity("1 ohm"), quantity("9 ohm")).unwrap();
        let no_deeper = Bounds::at_least(quantity("-50 V"));
        for bounds in [earth, between, no_deeper] {
            let verdict = bounds.with_open_ok(true).judge(&over_range);
            assert_eq!(verdict, outside, "nothing is too much for an open circuit");
        }
    }

    #[test]
    fn a_window_without_limits_judges_no_value() {
        assert_eq!(judge(&Bounds::record_only(), "5 V"), Verdict::NotJudged);
        let limits_ignored = Bounds { record_only: true, ..Bounds::at_most(quantity("1 V")) };
        assert_eq!(judge(&limits_ignored, "5 V"), Verdict::NotJudged);
        let expected_only = Bounds { record_only: false, ..Bounds::record_only() };
        assert_eq!(judge(&expected_only.with_expected(quantity("5 V")), "5 V"), Verdict::NotJudged);
    }

    #[test]
    fn another_dimension_is_never_inside() {
        let no_number = Verdict::Outside(Side::NoNumber);
        assert_eq!(judge(&Bounds::at_most(quantity("1 V")), "1 A"), no_number);
        assert_eq!(judge(&Bounds::at_least(quantity("1 V")), "1 A"), no_number);
        assert_eq!(judge(&Bounds::at_most(quantity("60 degC")), "20 K"), no_number);
    }

    #[test]
    fn what_a_person_types_meets_the_limit_it_names() {
        let bounds = Bounds::at_most(quantity("300 mohm"));
        let unit = Unit::parse("mohm").unwrap();
        let typed = |text| bounds.judge(&Reading::parse(text, &unit).unwrap());
        assert_eq!(typed("300"), INSIDE);
        assert_eq!(typed("R3"), INSIDE);
        assert_eq!(typed("R301"), ABOVE);
    }

    #[test]
    fn undecided_is_neither_inside_nor_outside() {
        let verdicts = [INSIDE, ABOVE, Verdict::Undecided, Verdict::NotJudged];
        assert_eq!(verdicts.map(Verdict::is_inside), [true, false, false, false]);
        assert_eq!(verdicts.map(Verdict::is_outside), [false, true, false, false]);
        assert_eq!(Verdict::Undecided.words(), "UNDECIDED, too close for this meter");
    }

    #[test]
    fn json_is_in_small_words() {
        let json = |verdict| serde_json::to_string(&verdict).unwrap();
        assert_eq!(json(INSIDE), "\"inside\"");
        assert_eq!(json(Verdict::NotJudged), "\"not_judged\"");
        assert_eq!(json(Verdict::Undecided), "\"undecided\"");
        assert_eq!(json(Verdict::Outside(Side::OverRange)), "{\"outside\":\"over_range\"}");
    }
}
