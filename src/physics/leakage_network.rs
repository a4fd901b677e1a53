//! The resistor and capacitor through which service manuals measure leakage, and their two checks.

use std::f64::consts::TAU;

use super::source::Source;

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
    /// The name it is chosen by.
    pub name: &'static str,
    /// Highest voltage across [`HOT_CHECK`], in volts rms.
    pub volts: f64,
    /// Where it comes from.
    pub source: Source,
}

/// Every limit there is; the maker's own manual wins.
pub static HOT_LIMITS: [HotLimit; 3] = [
    HotLimit { name: "usual", volts: 0.75, source: Source::seen("service manuals, US (four)") },
    HotLimit { name: "stricter", volts: 0.35, source: Source::seen("service manual, 230 V tuner") },
    HotLimit { name: "strictest", volts: 0.15, source: Source::seen("service manual, recorder") },
];

impl HotLimit {
    /// Finds a limit by its name.
    #[must_use]
    pub fn named(name: &str) -> Option<&'static HotLimit> {
        HOT_LIMITS.iter().find(|limit| limit.name == name)
    }
}

/// What the cold check has to show from the joined plug pins to touchable metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ColdCheck {
    /// A resistance between these, in ohms, for metal with a return to the chassis.
    Between(f64, f64),
    /// An open circuit, for other metal.
    Open,
}

/// Gives what the cold check has to show (service manuals, US, seen): unplugged, switch on, the pins joined.
#[must_use]
pub fn cold_check(has_chassis_return: bool) -> ColdCheck {
    if has_chassis_return { ColdCheck::Between(1e6, 5.2e6) } else { ColdCheck::Open }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;

    /// 1.5 kohm with 0.15 uF (network seen, answers recomputed).
    #[test]
    fn the_hot_check_agrees_with_worked_values() {
        assert_near(HOT_CHECK.impedance(50.0), 1496.27, 4e-6);
        assert_near(HOT_CHECK.impedance(60.0), 1494.63, 4e-6);
        let current =
            |name, hertz| HOT_CHECK.current_a(HotLimit::named(name).unwrap().volts, hertz);
        assert_near(current("usual", 50.0), 0.5012e-3, 1e-4);
        assert_near(current("usual", 60.0), 0.5018e-3, 1e-4);
        assert_near(current("stricter", 50.0), 0.234e-3, 1e-3);
        assert_near(current("strictest", 60.0), 0.1e-3, 5e-3);
    }

    /// Service manuals (seen).
    #[test]
    fn the_cold_check_depends_on_the_chassis() {
        assert_eq!(cold_check(true), ColdCheck::Between(1e6, 5.2e6));
        assert_eq!(cold_check(false), ColdCheck::Open);
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
