//! Mains voltages, how far they may wander, and their peaks.

use std::f64::consts::SQRT_2;

use super::source::FigureSource;

/// How it is worked out, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("mains.md");

/// A mains supply by its standard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mains {
    /// The name it is chosen by.
    pub name: &'static str,
    /// Nominal voltage, in volts rms.
    pub nominal: f64,
    /// Lowest service voltage, in volts rms.
    pub low: f64,
    /// Highest service voltage, in volts rms.
    pub high: f64,
    /// Where it comes from.
    pub source: FigureSource,
}

const PRESENT: FigureSource = FigureSource::quoted("IEC 60038 (from 2003)");
const EARLIER: FigureSource = FigureSource::quoted("IEC 60038 (before 2003)");
const US: FigureSource = FigureSource::from_memory("ANSI C84.1");

/// Every supply there is.
pub static SUPPLIES: [Mains; 6] = [
    of("230V", 230.0, 0.90 * 230.0, 1.10 * 230.0, PRESENT),
    of("400V", 400.0, 0.90 * 400.0, 1.10 * 400.0, PRESENT),
    of("230V-before-2003", 230.0, 0.90 * 230.0, 1.06 * 230.0, EARLIER),
    of("400V-before-2003", 400.0, 0.90 * 400.0, 1.06 * 400.0, EARLIER),
    of("120V-A", 120.0, 114.0, 126.0, US),
    of("120V-B", 120.0, 110.0, 127.0, US),
];

const fn of(name: &'static str, nominal: f64, low: f64, high: f64, source: FigureSource) -> Mains {
    Mains { name, nominal, low, high, source }
}

impl Mains {
    /// Whether a voltage (V rms) is one that the supply may have.
    #[must_use]
    pub fn allows(&self, rms: f64) -> bool {
        // A part in 1e9 is noise of the arithmetic, and no higher mains.
        (self.low * (1.0 - 1e-9)..=self.high * (1.0 + 1e-9)).contains(&rms)
    }
}

/// Peak of a sine, in volts (V rms): what a rectifier without losses charges to.
///
/// Real mains is often flattened, and its peak a few percent lower.
#[must_use]
pub fn peak(rms: f64) -> f64 {
    rms * SQRT_2
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;

    /// IEC 60038 (quoted), ANSI C84.1 (from memory).
    #[test]
    fn supplies_are_as_published() {
        for (name, low, high) in [
            ("230V", 207.0, 253.0),
            ("400V", 360.0, 440.0),
            ("230V-before-2003", 207.0, 243.8),
            ("400V-before-2003", 360.0, 424.0),
            ("120V-A", 114.0, 126.0),
            ("120V-B", 110.0, 127.0),
        ] {
            let mains = SUPPLIES.iter().find(|mains| mains.name == name).unwrap();
            assert_near(mains.low, low, 1e-12);
            assert_near(mains.high, high, 1e-12);
            assert!(mains.low < mains.nominal && mains.nominal < mains.high);
        }
    }

    /// Peaks (recomputed).
    #[test]
    fn peaks_agree_with_worked_values() {
        for (rms, volts) in [(230.0, 325.27), (253.0, 357.80), (120.0, 169.71)] {
            assert_near(peak(rms), volts, 3e-5);
        }
    }

    proptest! {
        #[test]
        fn more_volts_have_a_higher_peak(rms in 0.1..1000.0_f64, more in 1.001..2.0_f64) {
            prop_assert!(rms < peak(rms) && peak(rms) < peak(rms * more));
            prop_assert!(SUPPLIES.iter().all(|mains| mains.allows(mains.high) && !mains.allows(mains.high * more)));
            prop_assert!(SUPPLIES.iter().all(|mains| mains.allows(mains.low) && !mains.allows(mains.low / more)));
        }
    }
}
