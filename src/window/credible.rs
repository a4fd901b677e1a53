//! What no value of its kind can be: below zero where nothing is, or larger than anything at a bench.
//!
//! The sizes are wide on purpose. They are no limits of the equipment: they tell a slip of the unit, a meter that is at fault or
//! a reading of something else from a value.

use serde::{Deserialize, Serialize};

use super::side::Side;
use crate::quantity::{Decimal, Dimension, Quantity};

/// What a minus before a value means.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Sign {
    /// What it means for its kind: volts and amps have two directions, ohms and watts have none.
    #[default]
    OfItsKind,
    /// Nothing: an RMS value has no direction.
    Never,
    /// The other way round: what is worked out may be a difference.
    EitherWay,
}

impl Sign {
    pub(super) fn is_of_its_kind(&self) -> bool {
        *self == Self::OfItsKind
    }
}

/// Where the credible values of a kind begin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Lowest {
    /// Nothing of this kind is below zero.
    Zero,
    /// As far below zero as above.
    EitherWay,
    /// Here, on a scale that has its zero elsewhere.
    At(Decimal),
}

/// From where to where values of a kind are credible, in base units. All sizes are common practice, no source.
const CREDIBLE: [(Dimension, Lowest, Decimal); 17] = [
    // Counts, ratios, codes.
    (Dimension::NONE, Lowest::EitherWay, Decimal::new(1, 12)),
    // The anode of a large picture tube stands at some 30 kV.
    (Dimension::VOLTAGE, Lowest::EitherWay, Decimal::new(50, 3)),
    // A starter battery that is shorted.
    (Dimension::CURRENT, Lowest::EitherWay, Decimal::new(5, 3)),
    // Insulation testers end at some 10 Tohm.
    (Dimension::RESISTANCE, Lowest::Zero, Decimal::new(100, 12)),
    // More than any outlet of a workshop.
    (Dimension::POWER, Lowest::Zero, Decimal::new(100, 3)),
    // The largest double-layer capacitors have a few kF.
    (Dimension::CAPACITANCE, Lowest::Zero, Decimal::new(10, 3)),
    // Large chokes have some 100 H.
    (Dimension::INDUCTANCE, Lowest::Zero, Decimal::new(10, 3)),
    // Beyond any counter.
    (Dimension::FREQUENCY, Lowest::Zero, Decimal::new(1, 12)),
    // A hundred years: operating hours are times too.
    (Dimension::TIME, Lowest::Zero, Decimal::new(32, 8)),
    // The meter of a house over many years.
    (Dimension::ENERGY, Lowest::Zero, Decimal::new(1, 12)),
    // A battery of some 1000 A h.
    (Dimension::CHARGE, Lowest::EitherWay, Decimal::new(10, 6)),
    // A joint of a micro-ohm.
    (Dimension::CONDUCTANCE, Lowest::Zero, Decimal::new(1, 9)),
    (Dimension::TEMPERATURE, Lowest::EitherWay, Decimal::new(3, 3)),
    // From below a can of freezing spray to beyond a thermocouple.
    (Dimension::CELSIUS, Lowest::At(Decimal::new(-80, 0)), Decimal::new(1500, 0)),
    (Dimension::LEVEL, Lowest::EitherWay, Decimal::new(400, 0)),
    (Dimension::LENGTH, Lowest::Zero, Decimal::new(100, 3)),
    (Dimension::AREA, Lowest::Zero, Decimal::new(10, 3)),
];

/// What is composed, such as V/s: any slip in between goes unseen, only nonsense is not.
const COMPOSED: (Lowest, Decimal) = (Lowest::EitherWay, Decimal::new(1, 18));

fn credible(dimension: Dimension, sign: Sign) -> (Lowest, Decimal) {
    let known = CREDIBLE.iter().find(|(listed, ..)| *listed == dimension);
    let (lowest, high) = known.map_or(COMPOSED, |(_, lowest, high)| (*lowest, *high));
    let lowest = match (lowest, sign) {
        (Lowest::EitherWay, Sign::Never) => Lowest::Zero,
        (Lowest::Zero, Sign::EitherWay) => Lowest::EitherWay,
        (lowest, _) => lowest,
    };
    (lowest, high)
}

/// The lowest and the highest credible value.
pub(super) fn ends(dimension: Dimension, sign: Sign) -> [Quantity; 2] {
    let (lowest, high) = credible(dimension, sign);
    let low = match lowest {
        Lowest::Zero => Decimal::ZERO,
        Lowest::EitherWay => high.neg(),
        Lowest::At(low) => low,
    };
    [low, high].map(|end| Quantity::new(end, dimension))
}

/// Whether a value is larger than anything at a bench, whichever way round it is.
#[must_use]
pub fn is_absurd(value: &Quantity) -> bool {
    fault(value, Sign::EitherWay).is_some()
}

/// Why a value is none that its kind can have; nothing for one that is.
pub(super) fn fault(value: &Quantity, sign: Sign) -> Option<Side> {
    let [low, high] = ends(value.dimension, sign);
    let has_nothing_below = credible(value.dimension, sign).0 == Lowest::Zero;
    if has_nothing_below && value.value.is_negative() {
        Some(Side::BelowZero)
    } else {
        (value.value < low.value || value.value > high.value).then_some(Side::Absurd)
    }
}

/// Whether the size of a value counts where only one limit is given. A level has no size: -80 dB is simply little.
pub(super) fn is_by_size(dimension: Dimension, sign: Sign) -> bool {
    dimension != Dimension::LEVEL && credible(dimension, sign).0 == Lowest::EitherWay
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;
    use crate::quantity::Reading;
    use crate::window::{Bounds, Verdict};

    fn quantity(text: &str) -> Quantity {
        Quantity::parse(text).unwrap()
    }

    fn judge(bounds: &Bounds, text: &str) -> Verdict {
        bounds.judge(&Reading::Number(quantity(text)))
    }

    #[test]
    fn what_no_value_of_its_kind_can_be_is_never_inside() {
        let below = Verdict::Outside(Side::BelowZero);
        let absurd = Verdict::Outside(Side::Absurd);
        for (limit, value, verdict) in [
            ("0.3 ohm", "-5 ohm", below),
            ("60 W", "-900 W", below),
            ("10 uF", "-1 nF", below),
            ("1 kHz", "-50 Hz", below),
            ("10 s", "-1 s", below),
            ("60 degC", "-200 degC", absurd),
            ("60 degC", "-300 degC", absurd),
            ("-40 V", "-1 MV", absurd),
        ] {
            for bounds in [Bounds::at_most(quantity(limit)), Bounds::record_only()] {
                assert_eq!(judge(&bounds, value), verdict, "{value} against at most {limit}");
            }
        }
        for (limit, value) in [("10 V", "1 MV"), ("1 kohm", "1e18 ohm"), ("-10 degC", "9000 degC")]
        {
            assert_eq!(judge(&Bounds::at_least(quantity(limit)), value), absurd, "{value}");
        }
    }

    #[test]
    fn every_kind_with_a_name_has_a_credible_size_and_no_kind_is_without() {
        let mut kinds: Vec<Dimension> = CREDIBLE.iter().map(|(listed, ..)| *listed).collect();
        kinds.push(Dimension::VOLTAGE.over(Dimension::TIME).unwrap());
        for kind in kinds {
            let [low, high] = ends(kind, Sign::OfItsKind);
            for (end, sign) in [(low, -1), (high, 1)] {
                let beyond = end.value.checked_add(Decimal::new(sign, -3)).unwrap();
                assert_eq!(fault(&end, Sign::OfItsKind), None, "{end}");
                assert!(fault(&Quantity::new(beyond, kind), Sign::OfItsKind).is_some(), "{end}");
            }
        }
    }

    #[test]
    fn a_single_limit_of_what_has_two_directions_holds_for_its_size() {
        for (value, verdict) in [
            ("50 mA", Verdict::Inside),
            ("-50 mA", Verdict::Inside),
            ("-50.1 mA", Verdict::Outside(Side::Below)),
            ("-2 A", Verdict::Outside(Side::Below)),
            ("2 A", Verdict::Outside(Side::Above)),
        ] {
            assert_eq!(judge(&Bounds::at_most(quantity("50 mA")), value), verdict, "{value}");
        }
        let no_deeper = Bounds::at_least(quantity("-50 V"));
        assert_eq!(judge(&no_deeper, "50 V"), Verdict::Inside);
        assert_eq!(judge(&no_deeper, "51 V"), Verdict::Outside(Side::Above));
        assert_eq!(
            judge(&Bounds::at_least(quantity("10 V")), "-50 V"),
            Verdict::Outside(Side::Below)
        );
        assert_eq!(judge(&Bounds::at_most(quantity("-40 V")), "-50 V"), Verdict::Inside);
        assert_eq!(judge(&Bounds::at_most(quantity("-3 dB")), "-80 dB"), Verdict::Inside);
        assert_eq!(judge(&Bounds::at_most(quantity("3 dB")), "-80 dB"), Verdict::Inside);
    }

    #[test]
    fn what_is_worked_out_may_be_a_difference_and_an_rms_value_has_no_direction() {
        let apart = Bounds::at_most(quantity("0.1 ohm")).with_sign(Sign::EitherWay);
        assert_eq!(judge(&apart, "-0.05 ohm"), Verdict::Inside);
        assert_eq!(judge(&apart, "-5 ohm"), Verdict::Outside(Side::Below));
        let rms = Bounds::at_most(quantity("5 V")).with_sign(Sign::Never);
        assert_eq!(judge(&rms, "-3 V"), Verdict::Outside(Side::BelowZero));
        assert_eq!(judge(&rms, "3 V"), Verdict::Inside);
    }
}
