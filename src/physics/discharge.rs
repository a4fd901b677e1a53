//! A reservoir capacitor discharging through a resistor.

use crate::quantity::Quantity;

/// Capacitors are taken this far above their marking: the usual tolerance of aluminium electrolytics (common practice,
/// no source).
const CAPACITANCE_MARGIN: f64 = 1.20;

/// Resistors are taken this far above their marking (common practice, no source).
const RESISTANCE_MARGIN: f64 = 1.05;

/// Time for a capacitor to fall from one voltage to another through a resistor, in seconds, with the margins of a
/// promise: +20 % on the capacitance and +5 % on the resistance.
///
/// t = R C ln(V0 / V), the exponential discharge of any circuits text; no other path and no dielectric absorption is
/// assumed, so the result is a wait before measuring, never a proof. Zero when the voltage is already there.
#[must_use]
pub fn wait_s(
    capacitance: &Quantity,
    resistance: &Quantity,
    from: &Quantity,
    to: &Quantity,
) -> f64 {
    let margin = CAPACITANCE_MARGIN * RESISTANCE_MARGIN;
    margin * time_s(capacitance.to_f64(), resistance.to_f64(), from.to_f64(), to.to_f64())
}

/// Time to fall from one voltage to another through a resistor, in seconds, for exact values (F, ohm, V, V).
#[must_use]
pub fn time_s(capacitance: f64, resistance: f64, from: f64, to: f64) -> f64 {
    let ratio = from.abs() / to.abs();
    if ratio > 1.0 { resistance * capacitance * ratio.ln() } else { 0.0 }
}

/// Energy in a capacitor, in joules (F, V): half C V squared.
#[must_use]
pub fn energy_j(capacitance: f64, voltage: f64) -> f64 {
    0.5 * capacitance * voltage * voltage
}

#[cfg(test)]
mod tests {
    use super::{energy_j, time_s, wait_s};
    use crate::quantity::Quantity;

    fn close(got: f64, want: f64, relative: f64) {
        assert!((got / want - 1.0).abs() < relative, "got {got}, want {want}");
    }

    /// t = RC ln(V0/V) and E = CV²/2 worked independently with a numerical library.
    #[test]
    fn discharge_agrees_with_worked_values() {
        close(time_s(10e-3, 100.0, 63.0, 1.0), 4.1431, 1e-4);
        close(time_s(100e-6, 220e3, 325.0, 60.0), 37.17, 1e-3);
        close(time_s(100e-6, 220e3, 325.0, 34.0), 49.66, 1e-3);
        close(energy_j(10e-3, 63.0), 19.845, 1e-9);
        close(energy_j(220e-6, 400.0), 17.6, 1e-9);
    }

    #[test]
    fn a_point_already_low_needs_no_wait() {
        close(1.0 + time_s(10e-3, 100.0, 1.0, 2.0), 1.0, 1e-12);
    }

    #[test]
    fn a_negative_rail_takes_as_long_as_a_positive_one() {
        close(time_s(10e-3, 100.0, -63.0, 1.0), 4.1431, 1e-4);
    }

    #[test]
    fn the_wait_carries_both_margins() {
        let quantity = |text: &str| Quantity::parse(text).expect("a sound quantity");
        let wait =
            wait_s(&quantity("10 mF"), &quantity("100 ohm"), &quantity("63 V"), &quantity("1 V"));
        close(wait, 4.1431 * 1.2 * 1.05, 1e-4);
    }
}
