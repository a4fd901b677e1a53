//! The resistor and capacitor through which service manuals measure leakage, and their two checks.

use std::f64::consts::TAU;

use super::source::FigureSource;

/// How it is worked out, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("leakage_network.md");

/// A resistor with a capacitor beside it, between touchable metal and a good earth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Network {
    /// In ohms.
    pub resistance: f64,
    /// In farads.
    pub capacitance: f64,
}

/// The network of United States service manuals: 1.5 kohm, 10 W, with 0.15 uF beside it (seen in several).
pub const HOT_CHECK: Network = Network { resistance: 1500.0, capacitance: 0.15e-6 };

impl Network {
    /// Size of its impedance at a frequency, in ohms (Hz): R / sqrt(1 + (2 pi f R C) squared).
    #[must_use]
    pub fn impedance(&self, frequency: f64) -> f64 {
        self.resistance / (TAU * frequency * self.resistance * self.capacitance).hypot(1.0)
    }

    /// Leakage current for a voltage across it, in amperes rms (V rms, Hz).
    #[must_use]
    pub fn current_a(&self, rms: f64, frequency: f64) -> f64 {
        rms / self.impedance(frequency)
    }
}

/// A limit of the hot check: plugged straight into the mains, no isolating transformer, both ways of the
/// plug.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HotLimit {
    /// Highest voltage across [`HOT_CHECK`], in volts rms.
    pub volts: f64,
    /// Where it comes from.
    pub source: FigureSource,
}

/// Every limit there is, the usual one first; the maker's own manual wins.
pub static HOT_LIMITS: [HotLimit; 3] = [
    HotLimit { volts: 0.75, source: FigureSource::seen("service manuals, US (four)") },
    HotLimit { volts: 0.35, source: FigureSource::seen("service manual, 230 V tuner") },
    HotLimit { volts: 0.15, source: FigureSource::seen("service manual, recorder") },
];

/// Where the limits of the cold check come from.
pub const COLD_SOURCE: FigureSource = FigureSource::seen("service manuals, US");

/// What the cold check has to show from the joined plug pins to metal with a return to the chassis, in ohms: from this to
/// that. Any other metal has to show an open circuit.
pub const COLD_WITH_RETURN: (f64, f64) = (1e6, 5.2e6);

#[cfg(test)]
mod tests {
    #![expect(clippy::indexing_slicing, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;

    /// 1.5 kohm with 0.15 uF (network seen, answers recomputed).
    #[test]
    fn the_hot_check_agrees_with_worked_values() {
        assert_near(HOT_CHECK.impedance(50.0), 1496.27, 4e-6);
        assert_near(HOT_CHECK.impedance(60.0), 1494.63, 4e-6);
        let current = |place: usize, hertz| HOT_CHECK.current_a(HOT_LIMITS[place].volts, hertz);
        assert_near(current(0, 50.0), 0.5012e-3, 1e-4);
        assert_near(current(0, 60.0), 0.5018e-3, 1e-4);
        assert_near(current(1, 50.0), 0.234e-3, 1e-3);
        assert_near(current(2, 60.0), 0.1e-3, 5e-3);
    }

    proptest! {
        #[test]
        fn more_volts_or_a_higher_frequency_leak_more(
            volts in 0.01..300.0_f64,
            frequency in 1.0..1e5_f64,
            more in 1.001..5.0_f64,
        ) {
            let current = HOT_CHECK.current_a(volts, frequency);
            prop_assert!(current > volts / HOT_CHECK.resistance);
            prop_assert!(HOT_CHECK.current_a(volts * more, frequency) > current);
            prop_assert!(HOT_CHECK.current_a(volts, frequency * more) > current);
        }

        #[test]
        fn impedance_falls_with_frequency(one in 1.0..1e6_f64, two in 1.0..1e6_f64) {
            let low = HOT_CHECK.impedance(one.max(two));
            prop_assert!(low <= HOT_CHECK.impedance(one.min(two)));
            prop_assert!(low <= HOT_CHECK.resistance);
        }
    }
}
