//! Residual-current devices: when they have to break, and when they must not.

use super::source::FigureSource;

/// How it is worked out, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("residual_current.md");

/// How long a device may take from a current on.
#[derive(Clone, Copy, Debug)]
pub struct BreakTime {
    /// From this residual current, in amperes.
    pub from: f64,
    /// Longest time, in seconds.
    pub at_most: f64,
    /// Where it comes from.
    pub source: FigureSource,
}

/// What a residual current does to a device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TripCertainty {
    /// It must not break.
    No,
    /// It may break.
    May,
    /// It has to break.
    Must,
}

/// A device.
#[derive(Clone, Copy, Debug)]
pub struct ResidualCurrentDevice {
    /// The name it is chosen by.
    pub name: &'static str,
    /// Where it is used.
    pub country: &'static str,
    /// Up to this residual current it must not break, in amperes.
    pub holds_to: f64,
    /// From this it has to break, in amperes.
    pub trips_from: f64,
    /// Where its currents come from.
    pub source: FigureSource,
    /// Its times, by rising current; none where no figure was seen.
    pub times: &'static [BreakTime],
}

const TIMES: FigureSource = FigureSource::quoted("IEC 61008 and 61009");

/// Every device there is.
pub static DEVICES: [ResidualCurrentDevice; 2] = [
    ResidualCurrentDevice {
        name: "30mA",
        country: "international, without delay",
        holds_to: 0.015,
        trips_from: 0.030,
        source: FigureSource::quoted("IEC 61008, by a maker's answers to questions"),
        times: &[
            BreakTime { from: 0.030, at_most: 0.300, source: TIMES },
            BreakTime {
                from: 0.060,
                at_most: 0.150,
                source: FigureSource::from_memory("IEC 61008"),
            },
            BreakTime { from: 0.150, at_most: 0.040, source: TIMES },
        ],
    },
    ResidualCurrentDevice {
        name: "class-A",
        country: "US",
        holds_to: 0.004,
        trips_from: 0.006,
        source: FigureSource::quoted("UL 943"),
        times: &[],
    },
];

impl ResidualCurrentDevice {
    /// What a residual current does, in amperes.
    #[must_use]
    pub fn at(&self, current: f64) -> TripCertainty {
        if current.abs() <= self.holds_to {
            TripCertainty::No
        } else if current.abs() < self.trips_from {
            TripCertainty::May
        } else {
            TripCertainty::Must
        }
    }

    /// The time that holds at a residual current (A): that of the nearest lower current in the table. `None` where it need
    /// not break, and where no figure was seen.
    #[must_use]
    pub fn time_at(&self, current: f64) -> Option<&'static BreakTime> {
        self.times.iter().rfind(|time| time.from <= current.abs())
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;

    /// Maker's answers for 30 mA, UL 943 for class A (quoted).
    #[test]
    fn devices_hold_and_trip_in_their_band() {
        let [international, american] = DEVICES;
        for (current, trip) in [
            (0.015, TripCertainty::No),
            (0.016, TripCertainty::May),
            (-0.029, TripCertainty::May),
            (0.030, TripCertainty::Must),
        ] {
            assert_eq!(international.at(current), trip, "{current} A");
        }
        for (current, trip) in
            [(0.003, TripCertainty::No), (0.005, TripCertainty::May), (0.006, TripCertainty::Must)]
        {
            assert_eq!(american.at(current), trip, "{current} A");
        }
    }

    /// IEC 61008 and 61009 in a tester's manual (quoted), twice the rated current from memory; between rows the slower time.
    #[test]
    fn break_times_are_as_published() {
        let [international, american] = DEVICES;
        for (current, at_most) in
            [(0.030, 0.300), (0.060, 0.150), (0.149, 0.150), (0.150, 0.040), (3.0, 0.040)]
        {
            assert_near(international.time_at(current).unwrap().at_most, at_most, 1e-12);
        }
        assert!(international.time_at(0.029).is_none());
        assert!(american.time_at(1.0).is_none(), "no figure was seen");
    }

    proptest! {
        #[test]
        fn more_current_never_trips_less_or_later(one in 0.0..0.3_f64, two in 0.0..0.3_f64) {
            let (low, high) = (one.min(two), one.max(two));
            for device in &DEVICES {
                let rank = |current: f64| match device.at(current) {
                    TripCertainty::No => 0,
                    TripCertainty::May => 1,
                    TripCertainty::Must => 2,
                };
                prop_assert!(rank(low) <= rank(high), "{}", device.name);
                let time = |current| device.time_at(current).map_or(f64::INFINITY, |time| time.at_most);
                prop_assert!(time(high) <= time(low), "{}", device.name);
            }
        }
    }
}
