//! Miniature fuses: how long one must hold a current, and how soon it must open.

use std::ops::RangeInclusive;

use super::source::FigureSource;
use crate::quantity::Breaking;

/// How it is worked out, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("fuse.md");

const MINUTE: f64 = 60.0;
const HOUR: f64 = 3600.0;
/// No promise to hold.
const NOT: f64 = 0.0;
/// No promise to open.
const NEVER: f64 = f64::INFINITY;

/// What a standard promises at one multiple of the rated current, for a span of ratings.
#[derive(Clone, Copy, Debug)]
pub struct Gate {
    /// Current over rated current.
    pub multiple: f64,
    /// Lowest rating it is for, in amperes.
    pub from: f64,
    /// Highest rating it is for, in amperes.
    pub to: f64,
    /// The fuse holds for at least this, in seconds.
    pub holds: f64,
    /// The fuse opens within this, in seconds.
    pub opens: f64,
}

/// A standard's type of fuse.
#[derive(Clone, Copy, Debug)]
pub struct FuseType {
    /// The name it is chosen by.
    pub name: &'static str,
    /// The letter of its characteristic; none where the standard prints none.
    pub letter: Option<&'static str>,
    /// Its breaking capacity; none where the standard prints no letter for it.
    pub breaking: Option<Breaking>,
    /// Words for both.
    pub character: &'static str,
    /// Whether it is made in the ratings of [`RATINGS`] alone.
    pub in_series: bool,
    /// Where it is used.
    pub country: &'static str,
    /// Where its gates come from.
    pub source: FigureSource,
    /// Its gates.
    pub gates: &'static [Gate],
}

/// Fuse ratings of IEC 60127-2, in amperes.
///
/// From 0.4 A to 10 A as a maker's sheet lists them (seen), 0.032 A as the lowest and 20 A as the highest (seen), those
/// between from memory.
#[rustfmt::skip]
pub const RATINGS: [f64; 29] = [
    0.032, 0.04, 0.05, 0.063, 0.08, 0.1, 0.125, 0.16, 0.2, 0.25, 0.315,
    0.4, 0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0, 12.5, 16.0, 20.0,
];

const IEC: FigureSource = FigureSource::seen("IEC 60127-2, by a maker's data sheets");
const UL: FigureSource = FigureSource::seen("UL/CSA/NMX 248-14, by a maker's guide");

/// Every type there is.
pub static FUSE_TYPES: [FuseType; 5] = [
    FuseType {
        name: "IEC 60127-2 sheet 2",
        letter: Some("F"),
        breaking: Some(Breaking::Low),
        character: "F, fast, low breaking capacity",
        in_series: true,
        country: "international",
        source: IEC,
        gates: &[
            gate(1.5, 0.4..=6.3, HOUR, NEVER),
            gate(1.5, 8.0..=10.0, 30.0 * MINUTE, NEVER),
            gate(2.1, 0.4..=10.0, NOT, 30.0 * MINUTE),
            gate(2.75, 0.4..=10.0, 0.05, 2.0),
            gate(4.0, 0.4..=6.3, 0.01, 0.3),
            gate(4.0, 8.0..=10.0, 0.01, 0.4),
            gate(10.0, 0.4..=6.3, NOT, 0.02),
            gate(10.0, 8.0..=10.0, NOT, 0.04),
        ],
    },
    FuseType {
        name: "IEC 60127-2 sheet 3",
        letter: Some("T"),
        breaking: Some(Breaking::Low),
        character: "T, time-lag, low breaking capacity",
        in_series: true,
        country: "international",
        source: IEC,
        gates: &[
            gate(1.5, 0.032..=6.3, HOUR, NEVER),
            gate(1.5, 8.0..=10.0, 30.0 * MINUTE, NEVER),
            gate(2.1, 0.032..=10.0, NOT, 2.0 * MINUTE),
            gate(2.75, 0.032..=0.1, 0.2, 10.0),
            gate(2.75, 0.125..=10.0, 0.6, 10.0),
            gate(4.0, 0.032..=0.1, 0.04, 3.0),
            gate(4.0, 0.125..=10.0, 0.15, 3.0),
            gate(10.0, 0.032..=0.1, 0.01, 0.3),
            gate(10.0, 0.125..=10.0, 0.02, 0.3),
        ],
    },
    FuseType {
        name: "IEC 60127-2 sheet 5",
        letter: Some("T"),
        breaking: Some(Breaking::High),
        character: "T, time-lag, high breaking capacity",
        in_series: true,
        country: "international",
        source: IEC,
        gates: &[
            gate(1.5, 0.125..=6.3, HOUR, NEVER),
            gate(1.5, 8.0..=20.0, 30.0 * MINUTE, NEVER),
            gate(2.1, 0.125..=20.0, NOT, 30.0 * MINUTE),
            gate(2.75, 0.125..=0.8, 0.25, 80.0),
            gate(2.75, 1.0..=20.0, 0.75, 80.0),
            gate(4.0, 0.125..=0.8, 0.05, 5.0),
            gate(4.0, 1.0..=3.15, 0.095, 5.0),
            gate(4.0, 4.0..=20.0, 0.15, 5.0),
            // Where 5 ms become 10 ms is from memory.
            gate(10.0, 0.125..=0.8, 0.005, 0.15),
            gate(10.0, 1.0..=20.0, 0.01, 0.15),
        ],
    },
    FuseType {
        name: "IEC 60127-2 sheet 6",
        letter: Some("T"),
        breaking: Some(Breaking::Enhanced),
        character: "T, time-lag, enhanced breaking capacity; its times were not seen",
        in_series: true,
        country: "international",
        source: FigureSource::from_memory("IEC 60127-2"),
        gates: &[],
    },
    // 110 % instead of 100 % is also quoted for carrying; the lower one is the safe side.
    FuseType {
        name: "UL/CSA/NMX 248-14",
        letter: None,
        breaking: None,
        character: "United States pattern",
        in_series: false,
        country: "US, Canada, Mexico",
        source: UL,
        gates: &[
            gate(1.0, 0.0..=60.0, NEVER, NEVER),
            gate(1.35, 0.0..=60.0, NOT, HOUR),
            gate(2.0, 0.0..=30.0, NOT, 2.0 * MINUTE),
            gate(2.0, 35.0..=60.0, NOT, 4.0 * MINUTE),
        ],
    },
];

const fn gate(multiple: f64, ratings: RangeInclusive<f64>, holds: f64, opens: f64) -> Gate {
    Gate { multiple, from: *ratings.start(), to: *ratings.end(), holds, opens }
}

/// What a standard promises for one current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Promise {
    /// The fuse holds for at least this, in seconds; zero is no promise.
    pub holds: f64,
    /// The fuse opens within this, in seconds; infinity is no promise.
    pub opens: f64,
}

/// Whether a fuse stands a current for a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FuseOutcome {
    /// It must hold.
    Holds,
    /// It must have opened.
    Opens,
    /// The standard leaves it open.
    Either,
    /// More than it interrupts: it may burst, or go on burning as an arc.
    Bursts,
}

impl FuseType {
    /// What this type promises at a current, for a rating (A, A); `None` for a rating that has no gate.
    ///
    /// A fuse opens sooner the higher the current, so a gate's hold binds below its multiple, too, and its
    /// opening above. Beyond what it interrupts there is no promise.
    #[must_use]
    pub fn promise(&self, rating: f64, current: f64) -> Option<Promise> {
        let multiple = current.abs() / rating;
        let mut gates = self.gates_for(rating).peekable();
        gates.peek()?;
        let none = Promise { holds: NOT, opens: NEVER };
        if self.bursts(rating, current) {
            return Some(none);
        }
        // A part in 1e9 is noise of the division, and no other current.
        Some(gates.fold(none, |promise, gate| Promise {
            holds: promise.holds.max(if multiple <= gate.multiple * (1.0 + 1e-9) {
                gate.holds
            } else {
                NOT
            }),
            opens: promise.opens.min(if multiple >= gate.multiple * (1.0 - 1e-9) {
                gate.opens
            } else {
                NEVER
            }),
        }))
    }

    /// Whether a fuse of this type stands a current for a time (A, A, s); `None` as in
    /// [`FuseType::promise`].
    #[must_use]
    pub fn stands(&self, rating: f64, current: f64, seconds: f64) -> Option<FuseOutcome> {
        let promise = self.promise(rating, current)?;
        Some(if self.bursts(rating, current) {
            FuseOutcome::Bursts
        } else if seconds <= promise.holds {
            FuseOutcome::Holds
        } else if seconds >= promise.opens {
            FuseOutcome::Opens
        } else {
            FuseOutcome::Either
        })
    }

    /// Current that a fuse of this type and rating interrupts (A, A).
    ///
    /// High is 1500 A at 250 V, enhanced 150 A (IEC 60127-2; from memory). Where none is known, the low one counts.
    #[must_use]
    pub fn breaking_capacity_a(&self, rating: f64) -> f64 {
        match self.breaking {
            Some(Breaking::High) => 1500.0,
            Some(Breaking::Enhanced) => 150.0,
            Some(Breaking::Low) | None => low_breaking_capacity_a(rating),
        }
    }

    /// Whether a current is more than a fuse of this rating interrupts (A, A).
    #[must_use]
    pub fn bursts(&self, rating: f64, current: f64) -> bool {
        current.abs() > self.breaking_capacity_a(rating)
    }

    /// The gates that the standard has for a rating; none for a rating that it does not have.
    fn gates_for(&self, rating: f64) -> impl Iterator<Item = &'static Gate> {
        let is_made = !self.in_series || is_in_series(rating);
        self.gates.iter().filter(move |gate| is_made && gate.is_for(rating))
    }
}

/// Whether a rating (A) is one of IEC 60127-2.
#[must_use]
pub fn is_in_series(rating: f64) -> bool {
    RATINGS.iter().any(|standard| (standard / rating - 1.0).abs() < 1e-9)
}

impl Gate {
    fn is_for(&self, rating: f64) -> bool {
        (self.from..=self.to).contains(&rating)
    }
}

/// A current at which one type must hold and another of the same rating must have opened.
#[derive(Clone, Copy, Debug)]
pub struct Clash {
    /// The current, in amperes.
    pub current: f64,
    /// The type that holds.
    pub holding: &'static str,
    /// For how long it holds, in seconds.
    pub holds: f64,
    /// The type that opens.
    pub opening: &'static str,
    /// Within what time it opens, in seconds.
    pub opens: f64,
}

/// Where two types of the same rating contradict each other (A): the reason never to swap like for like
/// across standards. Empty means only that no contradiction is known.
#[must_use]
pub fn clashes(one: &FuseType, other: &FuseType, rating: f64) -> Vec<Clash> {
    let mut found = one_way(one, other, rating);
    found.extend(one_way(other, one, rating));
    found
}

fn one_way(holding: &FuseType, opening: &FuseType, rating: f64) -> Vec<Clash> {
    let holds = holding.gates_for(rating).filter(|gate| gate.holds > NOT);
    holds
        .filter_map(|gate| {
            let current = gate.multiple * rating;
            let opens = opening.promise(rating, current)?.opens;
            // A hold and an opening without end are no contradiction.
            (opens <= gate.holds && opens.is_finite()).then_some(Clash {
                current,
                holding: holding.name,
                holds: gate.holds,
                opening: opening.name,
                opens,
            })
        })
        .collect()
}

/// Current that a low breaking capacity fuse interrupts, in amperes: 35 A or ten times its rating,
/// whichever is more (makers' data sheets for IEC 60127-2, seen).
fn low_breaking_capacity_a(rating: f64) -> f64 {
    (10.0 * rating).max(35.0)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;

    fn fuse(name: &str) -> &'static FuseType {
        FUSE_TYPES.iter().find(|fuse| fuse.name == name).unwrap()
    }

    /// The gate of a rating at a multiple: what is held and what is opened at least there.
    fn at(name: &str, rating: f64, multiple: f64) -> (f64, f64) {
        let promise = fuse(name).promise(rating, multiple * rating).unwrap();
        (promise.holds, promise.opens)
    }

    /// IEC 60127-2 sheet 2 in a maker's data sheet (seen).
    #[test]
    fn sheet_2() {
        let sheet = "IEC 60127-2 sheet 2";
        for rating in [0.4, 2.0, 6.3] {
            assert_eq!(at(sheet, rating, 1.5), (3600.0, NEVER));
            assert_eq!(at(sheet, rating, 2.1), (0.05, 1800.0));
            assert_eq!(at(sheet, rating, 2.75), (0.05, 2.0));
            assert_eq!(at(sheet, rating, 4.0), (0.01, 0.3));
            assert_eq!(at(sheet, rating, 10.0), (0.0, 0.02));
        }
        for rating in [8.0, 10.0] {
            assert_eq!(at(sheet, rating, 1.5), (1800.0, NEVER));
            assert_eq!(at(sheet, rating, 4.0), (0.01, 0.4));
            assert_eq!(at(sheet, rating, 10.0), (0.0, 0.04));
        }
    }

    /// IEC 60127-2 sheet 3 in makers' data sheets (seen).
    #[test]
    fn sheet_3() {
        let sheet = "IEC 60127-2 sheet 3";
        for rating in [0.125, 2.0, 6.3] {
            assert_eq!(at(sheet, rating, 1.5), (3600.0, NEVER));
            assert_eq!(at(sheet, rating, 2.1), (0.6, 120.0));
            assert_eq!(at(sheet, rating, 2.75), (0.6, 10.0));
            assert_eq!(at(sheet, rating, 4.0), (0.15, 3.0));
            assert_eq!(at(sheet, rating, 10.0), (0.02, 0.3));
        }
        assert_eq!(at(sheet, 0.1, 2.75), (0.2, 10.0));
        assert_eq!(at(sheet, 0.1, 4.0), (0.04, 3.0));
        assert_eq!(at(sheet, 0.1, 10.0), (0.01, 0.3));
        assert_eq!(at(sheet, 8.0, 1.5), (1800.0, NEVER));
    }

    /// IEC 60127-2 sheet 5 in a maker's data sheet (seen).
    #[test]
    fn sheet_5() {
        let sheet = "IEC 60127-2 sheet 5";
        for (rating, at_275, at_400) in
            [(0.8, 0.25, 0.05), (1.0, 0.75, 0.095), (3.15, 0.75, 0.095), (4.0, 0.75, 0.15)]
        {
            assert_eq!(at(sheet, rating, 1.5), (3600.0, NEVER));
            assert_eq!(at(sheet, rating, 2.1), (at_275, 1800.0));
            assert_eq!(at(sheet, rating, 2.75), (at_275, 80.0));
            assert_eq!(at(sheet, rating, 4.0), (at_400, 5.0));
        }
        assert_eq!(at(sheet, 8.0, 1.5), (1800.0, NEVER));
        assert_eq!(at(sheet, 0.125, 10.0), (0.005, 0.15));
        assert_eq!(at(sheet, 2.0, 10.0), (0.01, 0.15));
        assert_eq!(fuse(sheet).promise(0.1, 1.0), None, "the sheet begins at 125 mA");
    }

    /// UL/CSA/NMX 248-14 in a maker's guide (seen).
    #[test]
    fn the_united_states_pattern() {
        let sheet = "UL/CSA/NMX 248-14";
        assert_eq!(at(sheet, 2.0, 1.0), (NEVER, NEVER));
        assert_eq!(at(sheet, 2.0, 1.2), (0.0, NEVER));
        assert_eq!(at(sheet, 2.0, 1.35), (0.0, 3600.0));
        assert_eq!(at(sheet, 30.0, 2.0), (0.0, 120.0));
        assert_eq!(at(sheet, 40.0, 2.0), (0.0, 240.0));
    }

    #[test]
    fn holds_opens_or_neither() {
        let sheet = fuse("IEC 60127-2 sheet 3");
        assert_eq!(sheet.stands(2.0, 3.0, 3600.0), Some(FuseOutcome::Holds));
        assert_eq!(sheet.stands(2.0, 3.0, 4000.0), Some(FuseOutcome::Either));
        assert_eq!(sheet.stands(2.0, -20.0, 0.3), Some(FuseOutcome::Opens));
        assert_eq!(sheet.stands(2.0, 20.0, 0.1), Some(FuseOutcome::Either));
        assert_eq!(sheet.stands(50.0, 20.0, 0.1), None, "no such rating");
        assert_eq!(fuse("IEC 60127-2 sheet 2").promise(0.1, 1.0), None, "not seen below 0.4 A");
        for sheet in FUSE_TYPES.iter().filter(|fuse_type| fuse_type.in_series) {
            for rating in [3.0, 7.0, 13.0] {
                assert_eq!(sheet.promise(rating, 20.0), None, "{} has no {rating} A", sheet.name);
            }
        }
    }

    /// A 2 A fuse of IEC sheet 3 holds 3 A for an hour, one of 248-14 opens at 2.7 A within an hour (seen).
    #[test]
    fn like_for_like_across_standards_is_a_trap() {
        let united_states = fuse("UL/CSA/NMX 248-14");
        let sheet_3 = fuse("IEC 60127-2 sheet 3");
        assert_eq!(sheet_3.stands(2.0, 3.0, 3600.0), Some(FuseOutcome::Holds));
        assert_eq!(united_states.stands(2.0, 2.7, 3600.0), Some(FuseOutcome::Opens));
        for pair in [[sheet_3, united_states], [united_states, sheet_3]] {
            let found = clashes(pair[0], pair[1], 2.0);
            let clash = found.first().unwrap();
            assert_eq!(clash.holding, sheet_3.name);
            assert_eq!(clash.opening, united_states.name);
            assert_near(clash.current, 3.0, 1e-12);
        }
        assert!(clashes(sheet_3, sheet_3, 2.0).is_empty());
    }

    #[test]
    fn a_fast_fuse_opens_on_a_surge_that_a_time_lag_holds() {
        let found = clashes(fuse("IEC 60127-2 sheet 2"), fuse("IEC 60127-2 sheet 3"), 2.0);
        let currents: Vec<f64> = found.iter().map(|clash| clash.current).collect();
        assert_eq!(currents, [20.0]);
    }

    /// Low: makers' data sheets (seen). High: IEC 60127-2 (from memory).
    #[test]
    fn no_fuse_is_said_to_open_what_it_does_not_interrupt() {
        let sheet_3 = fuse("IEC 60127-2 sheet 3");
        assert_eq!(sheet_3.stands(2.0, 35.0, 1.0), Some(FuseOutcome::Opens));
        assert_eq!(sheet_3.stands(2.0, 36.0, 1.0), Some(FuseOutcome::Bursts));
        let promise = sheet_3.promise(2.0, 2000.0);
        assert_eq!(promise, Some(Promise { holds: NOT, opens: NEVER }));
        let sheet_5 = fuse("IEC 60127-2 sheet 5");
        assert_eq!(sheet_5.stands(2.0, 1500.0, 0.15), Some(FuseOutcome::Opens));
        assert_eq!(sheet_5.stands(2.0, 2000.0, 0.15), Some(FuseOutcome::Bursts));
        assert_eq!(fuse("UL/CSA/NMX 248-14").stands(2.0, 36.0, 3600.0), Some(FuseOutcome::Bursts));
    }

    /// Makers' data sheets (seen).
    #[test]
    fn low_breaking_capacity_is_the_greater() {
        assert_near(low_breaking_capacity_a(2.0), 35.0, 1e-12);
        assert_near(low_breaking_capacity_a(6.3), 63.0, 1e-12);
    }

    #[test]
    fn ratings_rise_and_have_gates() {
        assert!(RATINGS.is_sorted_by(|low, high| low < high));
        for rating in RATINGS {
            for (name, lowest, highest) in
                [("IEC 60127-2 sheet 3", 0.032, 10.0), ("IEC 60127-2 sheet 5", 0.125, 20.0)]
            {
                if !(lowest..=highest).contains(&rating) {
                    continue;
                }
                let has = |multiple: f64| {
                    let mut gates = fuse(name).gates.iter();
                    gates.any(|gate| {
                        gate.multiple.total_cmp(&multiple).is_eq() && gate.is_for(rating)
                    })
                };
                assert!([1.5, 2.1, 2.75, 4.0].into_iter().all(has), "{name} {rating}");
            }
        }
    }

    proptest! {
        #[test]
        fn more_time_never_turns_opening_into_holding(
            kind in 0_usize..5,
            rating in prop::sample::select(RATINGS.to_vec()),
            multiple in 0.1..20.0_f64,
            (one, two) in (1e-3..1e4_f64, 1e-3..1e4_f64),
        ) {
            let fuse = FUSE_TYPES.get(kind).unwrap();
            let rank = |seconds| {
                let outcome = fuse.stands(rating, multiple * rating, seconds);
                [FuseOutcome::Holds, FuseOutcome::Either, FuseOutcome::Opens]
                    .iter()
                    .position(|listed| Some(*listed) == outcome)
            };
            prop_assert!(rank(one.min(two)) <= rank(one.max(two)));
        }

        #[test]
        fn types_clash_both_ways_alike_and_none_with_itself(
            (one, other) in (0_usize..5, 0_usize..5),
            rating in prop::sample::select(RATINGS.to_vec()),
        ) {
            let (first, second) = (FUSE_TYPES.get(one).unwrap(), FUSE_TYPES.get(other).unwrap());
            let found = clashes(first, second, rating);
            prop_assert_eq!(found.len(), clashes(second, first, rating).len());
            prop_assert!(one != other || found.is_empty());
            prop_assert!(found.iter().all(|clash| clash.opens <= clash.holds));
        }

        #[test]
        fn a_larger_fuse_never_breaks_less(one in 0.01..20.0_f64, two in 0.01..20.0_f64) {
            let breaks = low_breaking_capacity_a;
            prop_assert!(35.0 <= breaks(one.min(two)) && breaks(one.min(two)) <= breaks(one.max(two)));
        }

        #[test]
        fn more_current_never_holds_longer(
            kind in 0_usize..5,
            rating in prop::sample::select(RATINGS.to_vec()),
            one in 0.1..10.0_f64,
            two in 0.1..10.0_f64,
        ) {
            let fuse = FUSE_TYPES.get(kind).unwrap();
            let promise = |multiple: f64| fuse.promise(rating, multiple * rating);
            if let (Some(low), Some(high)) = (promise(one.min(two)), promise(one.max(two))) {
                prop_assert!(high.holds <= low.holds && high.opens <= low.opens);
                prop_assert!(low.holds <= low.opens, "no type contradicts itself");
            }
        }
    }
}
