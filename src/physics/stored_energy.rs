//! How dangerous a charged capacitor is, by published thresholds.

use Measure::{Capacitance, Charge, Energy, ShareOfEs1, ShareOfEs2, Voltage};
use ThresholdReach::{Above, AtLeast, AtMost, Below};

use super::discharge::{energy_j, voltage_holding};
use super::source::FigureSource;

/// How it is worked out, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("stored_energy.md");

/// A charged capacitor.
#[derive(Clone, Copy, Debug)]
pub struct ChargedCapacitor {
    /// Capacitance in farads.
    pub capacitance: f64,
    /// Voltage across it; its sign does not matter.
    pub voltage: f64,
}

/// What of a charged capacitor a threshold looks at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Its voltage, in volts.
    Voltage,
    /// Its capacitance, in farads.
    Capacitance,
    /// Its charge, in coulombs.
    Charge,
    /// Its energy, in joules.
    Energy,
    /// Its voltage over what class ES1 allows its capacitance.
    ShareOfEs1,
    /// Its voltage over what class ES2 allows its capacitance.
    ShareOfEs2,
}

/// Where a measure has to lie for a threshold to be reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ThresholdReach {
    /// At this or above.
    AtLeast(f64),
    /// Above this.
    Above(f64),
    /// At this or below.
    AtMost(f64),
    /// Below this.
    Below(f64),
}

/// One threshold: reached when all its conditions are.
#[derive(Clone, Copy, Debug)]
pub struct Threshold {
    /// What is reached, in a few words.
    pub name: &'static str,
    /// Where the conditions come from.
    pub source: FigureSource,
    /// The conditions.
    pub conditions: &'static [(Measure, ThresholdReach)],
}

/// A named set of thresholds.
#[derive(Clone, Copy, Debug)]
pub struct Profile {
    /// What it is called for short.
    pub name: &'static str,
    /// Where it applies.
    pub country: &'static str,
    /// Its thresholds.
    pub thresholds: &'static [Threshold],
}

impl ChargedCapacitor {
    fn measured(&self, measure: Measure) -> f64 {
        match measure {
            Measure::Voltage => self.voltage.abs(),
            Measure::Capacitance => self.capacitance,
            Measure::Charge => self.capacitance * self.voltage.abs(),
            Measure::Energy => energy_j(self.capacitance, self.voltage),
            Measure::ShareOfEs1 => self.voltage.abs() / energy_source_limits(self.capacitance).es1,
            Measure::ShareOfEs2 => self.voltage.abs() / energy_source_limits(self.capacitance).es2,
        }
    }
}

impl Measure {
    /// The voltage at which a capacitor (F) has so much of this, in volts; `None` where its voltage makes no difference.
    fn voltage_at(self, figure: f64, capacitance: f64) -> Option<f64> {
        match self {
            Measure::Voltage => Some(figure),
            Measure::Capacitance => None,
            Measure::Charge => Some(figure / capacitance),
            Measure::Energy => Some(voltage_holding(capacitance, figure)),
            Measure::ShareOfEs1 => Some(figure * energy_source_limits(capacitance).es1),
            Measure::ShareOfEs2 => Some(figure * energy_source_limits(capacitance).es2),
        }
    }
}

impl ThresholdReach {
    fn holds(self, value: f64) -> bool {
        match self {
            ThresholdReach::AtLeast(limit) => value >= limit,
            ThresholdReach::Above(limit) => value > limit,
            ThresholdReach::AtMost(limit) => value <= limit,
            ThresholdReach::Below(limit) => value < limit,
        }
    }
}

impl Threshold {
    /// Whether a charged capacitor reaches this.
    #[must_use]
    pub fn is_reached(&self, charged: ChargedCapacitor) -> bool {
        self.conditions.iter().all(|(measure, reach)| reach.holds(charged.measured(*measure)))
    }

    /// The lowest voltage at which a capacitor (F) reaches this, or above which it does; `None` where none does.
    #[must_use]
    pub fn reached_from(&self, capacitance: f64) -> Option<f64> {
        let (mut from, mut to) = (0.0_f64, f64::INFINITY);
        for (measure, reach) in self.conditions {
            let (ThresholdReach::AtLeast(figure)
            | ThresholdReach::Above(figure)
            | ThresholdReach::AtMost(figure)
            | ThresholdReach::Below(figure)) = *reach;
            match (measure.voltage_at(figure, capacitance), reach) {
                (Some(voltage), ThresholdReach::AtLeast(_) | ThresholdReach::Above(_)) => {
                    from = from.max(voltage)
                }
                (Some(voltage), ThresholdReach::AtMost(_) | ThresholdReach::Below(_)) => {
                    to = to.min(voltage)
                }
                (None, _) if !reach.holds(capacitance) => return None,
                (None, _) => {}
            }
        }
        (from < to).then_some(from)
    }
}

impl Profile {
    /// The thresholds that a charged capacitor reaches, in the order of the table.
    pub fn reached(
        &self,
        charged: ChargedCapacitor,
    ) -> impl Iterator<Item = &'static Threshold> + use<> {
        self.thresholds.iter().filter(move |threshold| threshold.is_reached(charged))
    }
}

const LBNL_SHOCK: FigureSource = FigureSource::seen("LBNL Electrical Safety Manual, Table 2.2.13");
const LBNL_BURN: FigureSource = FigureSource::seen("LBNL Electrical Safety Manual, Table 2.3.5");
const LBNL_ARC: FigureSource = FigureSource::seen("LBNL Electrical Safety Manual, Table 2.3.3");
const DOE: FigureSource = FigureSource::quoted("DOE-HDBK-1092-2013, Appendix D");
const TEN_JOULES: FigureSource = FigureSource::quoted("trade discussion of NFPA 70E");
const ES1: FigureSource = FigureSource::quoted("IEC 62368-1, Table 4");
const ES2: FigureSource = FigureSource::from_memory("IEC 62368-1, Table 4");
const ES_SMALL: FigureSource = FigureSource::from_memory("IEC 62368-1, Table 5");
/// From here up Table 5 has the voltages of Table 4, in farads: 170 nF is its last row below.
const SMALL_UP_TO: f64 = 170e-9;
const OSHA_GUARD: FigureSource = FigureSource::quoted("29 CFR 1910.303(g)(2)(i)");
const OSHA_WORK: FigureSource = FigureSource::quoted("29 CFR 1910.333(a)(1)");
const APPLIANCE: FigureSource = FigureSource::quoted("IEC 60335-1, 8.1.4");
const AUDIO_VIDEO: FigureSource =
    FigureSource::quoted("IEC 60065 style, clause 9.1.1 (number from memory)");

/// Every profile there is.
pub static PROFILES: [Profile; 7] = [
    Profile {
        name: "LBNL",
        country: "US",
        thresholds: &[
            line("shock", LBNL_SHOCK, &[(Voltage, AtLeast(100.0)), (Energy, AtLeast(10.0))]),
            line("burn", LBNL_BURN, &[(Voltage, Below(100.0)), (Energy, Above(100.0))]),
            line("arc blast", LBNL_ARC, &[(Voltage, AtLeast(100.0)), (Energy, AtLeast(10e3))]),
        ],
    },
    Profile {
        name: "DOE reflex",
        country: "US",
        thresholds: &[line("reflex", DOE, &[(Voltage, Above(400.0)), (Energy, Above(0.25))])],
    },
    Profile {
        name: "ten joules",
        country: "US",
        // No published limit sees a shock in dry hands up to 60 V of direct current, however many joules are behind it
        // (IEC 62368-1 ES1, quoted; IEC 61140 and IEC 60479-1, from memory). A burn is another matter.
        thresholds: &[line(
            "may kill (rule of thumb)",
            TEN_JOULES,
            &[(Energy, AtLeast(10.0)), (Voltage, Above(60.0))],
        )],
    },
    Profile {
        name: "IEC 62368-1",
        country: "international",
        thresholds: &[
            line("above ES1", ES1, &[(Voltage, Above(60.0)), (Capacitance, Above(SMALL_UP_TO))]),
            line("above ES2", ES2, &[(Voltage, Above(120.0)), (Capacitance, Above(SMALL_UP_TO))]),
            line(
                "above ES1",
                ES_SMALL,
                &[(ShareOfEs1, Above(1.0)), (Capacitance, AtMost(SMALL_UP_TO))],
            ),
            line(
                "above ES2",
                ES_SMALL,
                &[(ShareOfEs2, Above(1.0)), (Capacitance, AtMost(SMALL_UP_TO))],
            ),
        ],
    },
    Profile {
        name: "29 CFR 1910",
        country: "US",
        thresholds: &[
            line("guard live parts", OSHA_GUARD, &[(Voltage, AtLeast(50.0))]),
            line("de-energise before work", OSHA_WORK, &[(Voltage, AtLeast(50.0))]),
        ],
    },
    Profile {
        name: "IEC 60335-1",
        country: "international",
        thresholds: &[
            line(
                "touchable capacitance",
                APPLIANCE,
                &[(Voltage, Above(42.4)), (Voltage, AtMost(450.0)), (Capacitance, Above(0.1e-6))],
            ),
            line(
                "touchable charge",
                APPLIANCE,
                &[(Voltage, Above(450.0)), (Voltage, AtMost(15e3)), (Charge, Above(45e-6))],
            ),
            line("touchable energy", APPLIANCE, &[(Voltage, Above(15e3)), (Energy, Above(0.35))]),
        ],
    },
    Profile {
        name: "IEC 60065",
        country: "international",
        thresholds: &[line("hazardous live", AUDIO_VIDEO, &[(Voltage, Above(60.0))])],
    },
];

const fn line(
    name: &'static str,
    source: FigureSource,
    conditions: &'static [(Measure, ThresholdReach)],
) -> Threshold {
    Threshold { name, source, conditions }
}

/// Highest direct voltages of a charged capacitor in the first two energy source classes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EnergySourceLimits {
    /// Up to this it is of class ES1, in volts.
    pub es1: f64,
    /// Up to this it is of class ES2, in volts.
    pub es2: f64,
}

/// Capacitance in nanofarads with its limits (IEC 62368-1, Table 5, from memory).
#[rustfmt::skip]
const ENERGY_SOURCES: [(f64, f64, f64); 12] = [
    (0.8, 5000.0, 10_000.0), (1.6, 2500.0, 5000.0), (4.0, 1000.0, 2000.0), (8.0, 500.0, 1000.0),
    (12.0, 350.0, 700.0), (18.0, 250.0, 500.0), (28.0, 200.0, 400.0), (41.0, 150.0, 300.0),
    (61.0, 125.0, 250.0), (91.0, 100.0, 200.0), (170.0, 75.0, 150.0), (300.0, 60.0, 120.0),
];

/// Limits for a small capacitor (F): those of the next larger one in the table, which is the strict
/// side; from 300 nF up, the plain 60 V and 120 V.
///
/// IEC 62368-1, Table 5, from memory: a default to override.
#[must_use]
pub fn energy_source_limits(capacitance: f64) -> EnergySourceLimits {
    let nanofarads = capacitance * 1e9;
    // A part in 1e9 is noise of the arithmetic, and no larger capacitor.
    let row = ENERGY_SOURCES.iter().find(|(size, ..)| nanofarads <= size * (1.0 + 1e-9));
    let (_, es1, es2) = row.copied().unwrap_or((300.0, 60.0, 120.0));
    EnergySourceLimits { es1, es2 }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::super::source::SourceStanding;
    use super::*;

    fn named(name: &str) -> &'static Profile {
        PROFILES.iter().find(|profile| profile.name == name).unwrap()
    }

    fn reached(profile: &str, capacitance: f64, voltage: f64) -> Vec<&'static str> {
        named(profile)
            .reached(ChargedCapacitor { capacitance, voltage })
            .map(|line| line.name)
            .collect()
    }

    /// LBNL Electrical Safety Manual, Tables 2.2.13, 2.3.3 and 2.3.5 (seen).
    #[test]
    fn lbnl_thresholds() {
        assert_eq!(reached("LBNL", 220e-6, 400.0), ["shock"]);
        assert_eq!(reached("LBNL", 10e-3, 63.0), [""; 0], "19.8 J below 100 V");
        assert_eq!(reached("LBNL", 47e-3, 80.0), ["burn"], "150 J");
        assert_eq!(reached("LBNL", 0.2, 400.0), ["shock", "arc blast"], "16 kJ");
        assert_eq!(reached("LBNL", 2e-3, -100.0), ["shock"], "exactly 100 V and 10 J");
    }

    /// DOE-HDBK-1092-2013 Appendix D (quoted); 10 J rule of thumb (quoted).
    #[test]
    fn reflex_and_rule_of_thumb() {
        assert_eq!(reached("DOE reflex", 10e-6, 400.0), [""; 0]);
        assert_eq!(reached("DOE reflex", 10e-6, 401.0), ["reflex"]);
        assert_eq!(reached("DOE reflex", 1e-6, 500.0), [""; 0], "0.125 J");
        assert_eq!(reached("ten joules", 10e-3, 63.0), ["may kill (rule of thumb)"]);
        assert_eq!(reached("ten joules", 0.1, 18.7), [""; 0], "17.5 J, and no shock at 18.7 V");
    }

    /// IEC 62368-1 Table 4: 60 V (quoted), 120 V (from memory).
    #[test]
    fn energy_source_lines() {
        assert_eq!(reached("IEC 62368-1", 1e-3, 60.0), [""; 0]);
        assert_eq!(reached("IEC 62368-1", 1e-3, 120.0), ["above ES1"]);
        assert_eq!(reached("IEC 62368-1", 1e-3, 120.1), ["above ES1", "above ES2"]);
        let standings = named("IEC 62368-1").thresholds;
        let standings: Vec<_> = standings.iter().map(|line| line.source.standing).collect();
        let recalled = SourceStanding::FromMemory;
        assert_eq!(standings, [SourceStanding::Quoted, recalled, recalled, recalled]);
        assert_eq!(reached("IEC 62368-1", 10e-9, 200.0), [""; 0], "10 nF may hold 350 V");
        assert_eq!(reached("IEC 62368-1", 10e-9, 351.0), ["above ES1"]);
        assert_eq!(reached("IEC 62368-1", 10e-9, 701.0), ["above ES1", "above ES2"]);
        assert_eq!(reached("IEC 62368-1", 170e-9, 75.0), [""; 0]);
    }

    /// 29 CFR 1910.303(g)(2)(i) and 1910.333(a)(1) (quoted).
    #[test]
    fn fifty_volts_in_the_us() {
        assert_eq!(reached("29 CFR 1910", 1e-9, 49.9), [""; 0]);
        assert_eq!(reached("29 CFR 1910", 1e-9, 50.0).len(), 2);
    }

    /// IEC 60335-1 8.1.4 (quoted): its limbs meet at 450 V, and nearly at 15 kV (recomputed).
    #[test]
    fn appliance_parts_behind_protective_impedance() {
        assert_eq!(reached("IEC 60335-1", 1e-6, 42.4), [""; 0]);
        assert_eq!(reached("IEC 60335-1", 0.1e-6, 450.0), [""; 0]);
        assert_eq!(reached("IEC 60335-1", 0.11e-6, 450.0), ["touchable capacitance"]);
        assert_eq!(reached("IEC 60335-1", 0.1e-6, 451.0), ["touchable charge"]);
        assert_eq!(reached("IEC 60335-1", 3.2e-9, 15.1e3), ["touchable energy"]);
        assert_near(45e-6 / 450.0, 0.1e-6, 1e-12);
        assert_near(45e-6 / 15e3, 3.0e-9, 1e-12);
        assert_near(energy_j(3.0e-9, 15e3), 0.3375, 1e-12);
        assert_near(2.0 * 0.35 / 15e3_f64.powi(2), 3.111e-9, 1e-4);
    }

    /// IEC 60065 style, in a service manual (quoted).
    #[test]
    fn audio_and_video_equipment() {
        assert_eq!(reached("IEC 60065", 1e-6, 60.0), [""; 0]);
        assert_eq!(reached("IEC 60065", 1e-6, 61.0), ["hazardous live"]);
    }

    #[test]
    fn a_small_capacitor_may_hold_more_volts() {
        let limits = |capacitance| {
            let limits = energy_source_limits(capacitance);
            (limits.es1, limits.es2)
        };
        assert_eq!(limits(1e-3), (60.0, 120.0));
        assert_eq!(limits(170e-9), (75.0, 150.0));
        assert_eq!(limits(100e-9), (75.0, 150.0), "the next larger one");
        assert_eq!(limits(0.1e-9), (5000.0, 10_000.0));
    }

    #[test]
    fn names_are_unique() {
        for (index, profile) in PROFILES.iter().enumerate() {
            assert_eq!(PROFILES.iter().position(|other| other.name == profile.name), Some(index));
        }
    }

    /// 10 J and 0.25 J in 220 uF are at 301.5 V and 47.7 V (recomputed); 100 J below 100 V need 20 mF.
    #[test]
    fn each_threshold_has_the_voltage_it_is_reached_from() {
        let from = |profile: &str, place: usize, capacitance| {
            named(profile).thresholds[place].reached_from(capacitance)
        };
        assert_near(from("LBNL", 0, 220e-6).unwrap(), 301.511, 1e-5);
        assert_near(from("DOE reflex", 0, 220e-6).unwrap(), 400.0, 1e-12);
        assert_eq!(from("LBNL", 1, 10e-3), None, "a burn below 100 V needs more capacitance");
        assert_near(from("LBNL", 1, 80e-3).unwrap(), 50.0, 1e-12);
        assert_eq!(from("IEC 60335-1", 0, 0.1e-6), None);
        assert_near(from("IEC 60335-1", 0, 0.2e-6).unwrap(), 42.4, 1e-12);
    }

    proptest! {
        #[test]
        fn a_threshold_is_reached_just_where_it_says(
            power in -9.0..0.0_f64,
            voltage in 1.0..20e3_f64,
        ) {
            let capacitance = 10_f64.powf(power);
            for threshold in PROFILES.iter().flat_map(|profile| profile.thresholds) {
                let from = threshold.reached_from(capacitance);
                let is_below = from.is_none_or(|from| voltage < from * (1.0 - 1e-9));
                let charged = ChargedCapacitor { capacitance, voltage };
                prop_assert!(!(is_below && threshold.is_reached(charged)), "{threshold:?}");
                if let Some(from) = from {
                    let just_above = ChargedCapacitor { capacitance, voltage: from * (1.0 + 1e-9) + 1e-9 };
                    prop_assert!(threshold.is_reached(just_above), "{threshold:?} {from}");
                }
            }
        }

        #[test]
        fn more_capacitance_never_allows_more_volts(one in 1e-10..1e-3_f64, two in 1e-10..1e-3_f64) {
            let small = energy_source_limits(one.min(two));
            let large = energy_source_limits(one.max(two));
            prop_assert!(large.es1 <= small.es1 && large.es2 <= small.es2);
        }

        #[test]
        fn more_volts_never_leave_the_single_sided_lines(
            capacitance in 1e-9..0.1_f64,
            voltage in 0.0..900.0_f64,
            more in 0.0..100.0_f64,
        ) {
            for name in ["DOE reflex", "ten joules", "IEC 62368-1", "29 CFR 1910", "IEC 60065"] {
                let low = reached(name, capacitance, voltage);
                let high = reached(name, capacitance, voltage + more);
                prop_assert!(low.iter().all(|line| high.contains(line)));
            }
        }
    }
}
