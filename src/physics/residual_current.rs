//! Residual-current devices: when they have to break, and when they must not.

use super::source::Source;

/// How long a device may take at a multiple of its rated residual current.
#[derive(Clone, Copy, Debug)]
pub struct BreakTime {
    /// Multiple of the rated residual current.
    pub multiple: f64,
    /// Shortest time, in seconds, where one is set.
    pub at_least: Option<f64>,
    /// Longest time, in seconds.
    pub at_most: f64,
    /// Where it comes from.
    pub source: Source,
}

/// A type of device.
#[derive(Clone, Copy, Debug)]
pub struct DeviceType {
    /// The name it is chosen by.
    pub name: &'static str,
    /// Its times, by rising multiple.
    pub times: &'static [BreakTime],
}

const TIMES: Source = Source::quoted("IEC 61008 and 61009");

/// Every type there is.
pub static DEVICE_TYPES: [DeviceType; 2] = [
    DeviceType {
        name: "general",
        times: &[
            time(1.0, None, 0.300, TIMES),
            time(2.0, None, 0.150, Source::from_memory("IEC 61008")),
            time(5.0, None, 0.040, TIMES),
        ],
    },
    DeviceType {
        name: "S",
        times: &[time(1.0, Some(0.130), 0.500, TIMES), time(5.0, Some(0.050), 0.150, TIMES)],
    },
];

const fn time(multiple: f64, at_least: Option<f64>, at_most: f64, source: Source) -> BreakTime {
    BreakTime { multiple, at_least, at_most, source }
}

impl DeviceType {
    /// Finds a type by its name.
    #[must_use]
    pub fn named(name: &str) -> Option<&'static DeviceType> {
        DEVICE_TYPES.iter().find(|device| device.name == name)
    }

    /// The time that holds at a multiple of the rated residual current: that of the nearest lower
    /// multiple in the table. `None` below the rated current, where a device need not break.
    #[must_use]
    pub fn time_at(&self, multiple: f64) -> Option<&'static BreakTime> {
        self.times.iter().rfind(|time| time.multiple <= multiple)
    }
}

/// What a leaking current does to a residual-current device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trip {
    /// It must not break.
    No,
    /// It may break.
    May,
    /// It has to break.
    Must,
}

/// A device's band of tripping, in amperes.
#[derive(Clone, Copy, Debug)]
pub struct TripBand {
    /// The name it is chosen by.
    pub name: &'static str,
    /// Where it is used.
    pub country: &'static str,
    /// Up to this it must not break.
    pub holds_to: f64,
    /// From this it has to break.
    pub trips_from: f64,
    /// Where it comes from.
    pub source: Source,
}

/// Every band there is.
pub static TRIP_BANDS: [TripBand; 2] = [
    TripBand {
        name: "30 mA",
        country: "international",
        holds_to: 0.015,
        trips_from: 0.030,
        source: Source::quoted("IEC 61008, by a maker's answers to questions"),
    },
    TripBand {
        name: "class A",
        country: "US",
        holds_to: 0.004,
        trips_from: 0.006,
        source: Source::quoted("UL 943"),
    },
];

impl TripBand {
    /// Finds a band by its name.
    #[must_use]
    pub fn named(name: &str) -> Option<&'static TripBand> {
        TRIP_BANDS.iter().find(|band| band.name == name)
    }

    /// What a residual current does, in amperes.
    #[must_use]
    pub fn at(&self, current: f64) -> Trip {
        if current.abs() <= self.holds_to {
            Trip::No
        } else if current.abs() < self.trips_from {
            Trip::May
        } else {
            Trip::Must
        }
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
        let band = TripBand::named("30 mA").unwrap();
        for (current, trip) in
            [(0.015, Trip::No), (0.016, Trip::May), (-0.029, Trip::May), (0.030, Trip::Must)]
        {
            assert_eq!(band.at(current), trip, "{current} A");
        }
        let band = TripBand::named("class A").unwrap();
        for (current, trip) in [(0.003, Trip::No), (0.005, Trip::May), (0.006, Trip::Must)] {
            assert_eq!(band.at(current), trip, "{current} A");
        }
    }

    /// IEC 61008 and 61009 in a tester's manual (quoted), twice the rated current from memory.
    #[test]
    fn break_times_are_as_published() {
        for (name, multiple, at_least, at_most) in [
            ("general", 1.0, None, 0.300),
            ("general", 2.0, None, 0.150),
            ("general", 5.0, None, 0.040),
            ("S", 1.0, Some(0.130), 0.500),
            ("S", 5.0, Some(0.050), 0.150),
        ] {
            let time = DeviceType::named(name).unwrap().time_at(multiple).unwrap();
            assert_eq!(time.at_least, at_least, "{name}");
            assert_near(time.at_most, at_most, 1e-12);
        }
    }

    #[test]
    fn between_rows_the_slower_time_holds() {
        let general = DeviceType::named("general").unwrap();
        assert!(general.time_at(0.9).is_none());
        assert_near(general.time_at(4.9).unwrap().at_most, 0.150, 1e-12);
        assert_near(general.time_at(100.0).unwrap().at_most, 0.040, 1e-12);
    }

    #[test]
    fn more_current_never_breaks_later() {
        for device in &DEVICE_TYPES {
            assert!(device.times.is_sorted_by(|slow, fast| {
                slow.multiple < fast.multiple && slow.at_most > fast.at_most
            }));
        }
    }

    proptest! {
        #[test]
        fn more_current_never_trips_less_or_later(one in 0.0..10.0_f64, two in 0.0..10.0_f64) {
            let (low, high) = (one.min(two), one.max(two));
            for band in &TRIP_BANDS {
                let rank = |share: f64| match band.at(share * band.trips_from) {
                    Trip::No => 0,
                    Trip::May => 1,
                    Trip::Must => 2,
                };
                prop_assert!(rank(low) <= rank(high), "{}", band.name);
            }
            for device in &DEVICE_TYPES {
                let time = |multiple| device.time_at(multiple).map_or(f64::INFINITY, |time| time.at_most);
                prop_assert!(time(high) <= time(low), "{}", device.name);
            }
        }
    }
}
