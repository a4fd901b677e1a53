//! What a touched voltage drives through a person, and the currents and voltages held to matter.

use Kind::{AlternatingPeak, AlternatingRms, Direct};

use super::source::Source;

/// Total body impedance at a touch voltage, in ohms.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BodyImpedance {
    /// Touch voltage of the row, in volts.
    pub volts: f64,
    /// 5 % of people have less.
    pub low: f64,
    /// Half of people have less.
    pub median: f64,
    /// 95 % of people have less.
    pub high: f64,
}

/// Dry skin, large contact, hand to hand (IEC 479-1:1994, Table 1, quoted).
const BODY_IMPEDANCE: [BodyImpedance; 8] = [
    row(25.0, 1750.0, 3250.0, 6100.0),
    row(50.0, 1450.0, 2625.0, 4375.0),
    row(75.0, 1250.0, 2200.0, 3500.0),
    row(100.0, 1200.0, 1875.0, 3200.0),
    row(125.0, 1125.0, 1625.0, 2875.0),
    row(220.0, 1000.0, 1350.0, 2125.0),
    row(700.0, 750.0, 1100.0, 1550.0),
    row(1000.0, 700.0, 1050.0, 1500.0),
];

const fn row(volts: f64, low: f64, median: f64, high: f64) -> BodyImpedance {
    BodyImpedance { volts, low, median, high }
}

/// Body impedance at a touch voltage: the nearest lower row of the table; `None` below 25 V, where the
/// table says nothing.
///
/// Between rows the true value is lower, so a current worked out with it is somewhat low. Wet skin or a
/// wound can be far lower: for explaining a hazard, never for allowing one.
#[must_use]
pub fn body_impedance(volts: f64) -> Option<BodyImpedance> {
    BODY_IMPEDANCE.iter().rfind(|row| row.volts <= volts.abs()).copied()
}

/// Kind of current that a line is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Direct.
    Direct,
    /// Alternating, root mean square.
    AlternatingRms,
    /// Alternating, peak.
    AlternatingPeak,
}

/// A published line for voltage or current; a source past every figure that it gives is past the line.
#[derive(Clone, Copy, Debug)]
pub struct Line {
    /// What the line is.
    pub name: &'static str,
    /// Kind of current.
    pub kind: Kind,
    /// In volts, where the line has one.
    pub volts: Option<f64>,
    /// In amperes, where the line has one.
    pub amperes: Option<f64>,
    /// Whether the figures themselves count as past it.
    pub inclusive: bool,
    /// Where it comes from.
    pub source: Source,
}

const LBNL: Source = Source::seen("LBNL Electrical Safety Manual, Table 2.2.13");
const ES_VOLTS: Source = Source::quoted("IEC 62368-1, Table 4");
const ES_MEMORY: Source = Source::from_memory("IEC 62368-1, Table 4");
const APPLIANCE: Source = Source::quoted("IEC 60335-1, 8.1.4");
const AUDIO_VIDEO: Source = Source::quoted("IEC 60065 style, clause 9.1.1 (number from memory)");
const BODY: Source = Source::quoted("IEC TS 60479-1, curve a");

/// Every line there is.
#[rustfmt::skip]
pub static LINES: [Line; 16] = [
    from("LBNL hazard", AlternatingRms, Some(50.0), Some(5e-3), LBNL),
    from("LBNL hazard", Direct, Some(100.0), Some(40e-3), LBNL),
    above("ES1 voltage", Direct, Some(60.0), None, ES_VOLTS),
    above("ES1 voltage", AlternatingRms, Some(30.0), None, ES_VOLTS),
    above("ES1 voltage", AlternatingPeak, Some(42.4), None, ES_VOLTS),
    above("ES1 current", Direct, None, Some(2e-3), ES_MEMORY),
    above("ES1 current", AlternatingRms, None, Some(0.5e-3), ES_MEMORY),
    above("ES2 voltage", Direct, Some(120.0), None, ES_MEMORY),
    above("ES2 voltage", AlternatingRms, Some(50.0), None, ES_MEMORY),
    above("ES2 voltage", AlternatingPeak, Some(70.7), None, ES_VOLTS),
    above("ES2 current", Direct, None, Some(25e-3), ES_MEMORY),
    above("IEC 60335-1 protective impedance", Direct, None, Some(2e-3), APPLIANCE),
    above("IEC 60335-1 protective impedance", AlternatingPeak, None, Some(0.7e-3), APPLIANCE),
    above("IEC 60065 hazardous live", AlternatingPeak, Some(35.0), Some(0.7e-3), AUDIO_VIDEO),
    above("IEC 60065 hazardous live", Direct, Some(60.0), Some(2e-3), AUDIO_VIDEO),
    above("AC-1 perception", AlternatingRms, None, Some(0.5e-3), BODY),
];

const fn from(
    name: &'static str,
    kind: Kind,
    volts: Option<f64>,
    amperes: Option<f64>,
    source: Source,
) -> Line {
    Line { name, kind, volts, amperes, inclusive: true, source }
}

const fn above(
    name: &'static str,
    kind: Kind,
    volts: Option<f64>,
    amperes: Option<f64>,
    source: Source,
) -> Line {
    Line { name, kind, volts, amperes, inclusive: false, source }
}

impl Line {
    /// Finds a line by its name and kind of current.
    #[must_use]
    pub fn named(name: &str, kind: Kind) -> Option<&'static Line> {
        LINES.iter().find(|line| line.name == name && line.kind == kind)
    }

    /// Whether a source of this voltage and this current through a person is past the line (V, A).
    #[must_use]
    pub fn is_passed(&self, volts: f64, amperes: f64) -> bool {
        let past = |value: f64, limit: Option<f64>| {
            let value = value.abs();
            limit.is_none_or(|limit| if self.inclusive { value >= limit } else { value > limit })
        };
        past(volts, self.volts) && past(amperes, self.amperes)
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;

    /// IEC 479-1:1994 Table 1 (quoted), currents recomputed.
    #[test]
    fn currents_agree_with_worked_values() {
        let row = body_impedance(230.0).unwrap();
        assert_near(230.0 / row.low, 0.230, 1e-12);
        assert_near(230.0 / row.median, 0.170, 3e-3);
        // The row of 125 V, as the worked value takes it.
        assert_near(120.0 / body_impedance(125.0).unwrap().low, 0.107, 4e-3);
        assert_near(60.0 / body_impedance(60.0).unwrap().low, 0.041, 1e-2);
        assert_eq!(body_impedance(24.9), None);
        assert_near(body_impedance(-5000.0).unwrap().high, 1500.0, 1e-12);
    }

    /// LBNL Table 2.2.13 (seen).
    #[test]
    fn a_source_needs_both_voltage_and_current() {
        let direct = Line::named("LBNL hazard", Direct).unwrap();
        assert!(direct.is_passed(100.0, 40e-3));
        assert!(!direct.is_passed(99.0, 1.0));
        assert!(!direct.is_passed(400.0, 1e-3));
        let alternating = Line::named("LBNL hazard", AlternatingRms).unwrap();
        assert!(alternating.is_passed(50.0, 5e-3) && !alternating.is_passed(50.0, 4e-3));
    }

    /// IEC 62368-1 Table 4, IEC 60335-1 8.1.4, IEC 60065 style, IEC TS 60479-1 (quoted; ES currents and
    /// some ES2 voltages from memory).
    #[test]
    fn lines_are_as_published() {
        for (name, kind, volts, amperes) in [
            ("ES1 voltage", Direct, Some(60.0), None),
            ("ES1 voltage", AlternatingRms, Some(30.0), None),
            ("ES1 voltage", AlternatingPeak, Some(42.4), None),
            ("ES2 voltage", AlternatingPeak, Some(70.7), None),
            ("IEC 60335-1 protective impedance", Direct, None, Some(2e-3)),
            ("IEC 60335-1 protective impedance", AlternatingPeak, None, Some(0.7e-3)),
            ("IEC 60065 hazardous live", Direct, Some(60.0), Some(2e-3)),
            ("IEC 60065 hazardous live", AlternatingPeak, Some(35.0), Some(0.7e-3)),
            ("AC-1 perception", AlternatingRms, None, Some(0.5e-3)),
        ] {
            let line = Line::named(name, kind).unwrap();
            assert_eq!((line.volts, line.amperes), (volts, amperes), "{name}");
            let at_it = line.is_passed(volts.unwrap_or(1e3), amperes.unwrap_or(1.0));
            assert!(!at_it, "{name}: the limit itself is allowed");
            assert!(line.is_passed(1e3, 1.0), "{name}");
        }
    }

    /// A direct voltage line lies at or above the alternating one, and ES2 above ES1.
    #[test]
    fn lines_are_in_order() {
        let volts = |name, kind| Line::named(name, kind).unwrap().volts.unwrap();
        for kind in [Direct, AlternatingRms, AlternatingPeak] {
            assert!(volts("ES2 voltage", kind) > volts("ES1 voltage", kind));
        }
        let amperes = |name| Line::named(name, Direct).unwrap().amperes.unwrap();
        assert!(amperes("ES2 current") > amperes("ES1 current"));
    }

    proptest! {
        #[test]
        fn more_volts_and_more_current_never_come_back_over_a_line(
            (volts, amperes) in (0.0..200.0_f64, 0.0..0.2_f64),
            (more_volts, more_amperes) in (0.0..50.0_f64, 0.0..0.1_f64),
        ) {
            for line in LINES.iter().filter(|line| line.is_passed(volts, amperes)) {
                prop_assert!(line.is_passed(volts + more_volts, amperes + more_amperes), "{line:?}");
            }
        }

        #[test]
        fn more_volts_never_mean_more_ohms(one in 25.0..2000.0_f64, two in 25.0..2000.0_f64) {
            let low = body_impedance(one.min(two)).unwrap();
            let high = body_impedance(one.max(two)).unwrap();
            prop_assert!(high.low <= low.low && high.median <= low.median && high.high <= low.high);
            prop_assert!(low.low < low.median && low.median < low.high);
        }
    }
}
