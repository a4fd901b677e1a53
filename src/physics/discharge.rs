//! A reservoir capacitor discharging through a resistor or a constant current.

use super::preferred_value::Series;
use crate::quantity::Quantity;

/// How it is worked out, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("discharge.md");

/// Capacitors are taken this far above their marking: the usual tolerance of aluminium electrolytics
/// (common practice, no source).
pub const CAPACITANCE_MARGIN: f64 = 1.20;

/// Resistors are taken this far above their marking (common practice, no source).
pub const RESISTANCE_MARGIN: f64 = 1.05;

/// A wirewound resistor takes this many times its rating for [`SHORT_PULSE_S`] (common practice, no
/// source; the maker's pulse rating wins).
const PULSE_OVERLOAD: f64 = 5.0;

/// How long [`PULSE_OVERLOAD`] may last, in seconds (common practice, no source).
const SHORT_PULSE_S: f64 = 5.0;

/// Time for a capacitor to fall from one voltage to another through a resistor, in seconds, with the
/// margins of a promise: +20 % on the capacitance and +5 % on the resistance.
///
/// t = R C ln(V0 / V), the exponential discharge of any circuits text; no other path and no dielectric
/// absorption is assumed, so the result is a wait before measuring, never a proof. Zero when the
/// voltage is already there.
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

/// Time to fall from one voltage to another through a resistor, in seconds, for exact values (F, ohm,
/// V, V).
#[must_use]
pub fn time_s(capacitance: f64, resistance: f64, from: f64, to: f64) -> f64 {
    let ratio = from.abs() / to.abs();
    if ratio > 1.0 { resistance * capacitance * ratio.ln() } else { 0.0 }
}

/// Voltage left after a time through a resistor, in volts, for exact values (F, ohm, V, s).
///
/// V = V0 exp(-t / RC), the same law as [`time_s`].
#[must_use]
pub fn voltage_after(capacitance: f64, resistance: f64, from: f64, elapsed: f64) -> f64 {
    from * (-elapsed / (resistance * capacitance)).exp()
}

/// Time to fall from one voltage to another while a constant current is drawn, in seconds (F, A, V,
/// V); zero when the voltage is already there.
///
/// t = C (V0 - V) / I. An idle current stays constant only while its circuit still regulates: the
/// last volts take longer.
#[must_use]
pub fn constant_current_time_s(capacitance: f64, current: f64, from: f64, to: f64) -> f64 {
    capacitance * (from.abs() - to.abs()).max(0.0) / current.abs()
}

/// Largest resistor that brings a capacitor from one voltage to another within a time, in ohms (F, V,
/// V, s), for exact values.
///
/// R = t / (C ln(V0 / V)). `None` when the voltage is already there, or is to be zero, which no
/// resistor reaches.
#[must_use]
pub fn largest_resistance(capacitance: f64, from: f64, to: f64, within: f64) -> Option<f64> {
    let ratio = from.abs() / to.abs();
    (ratio > 1.0 && ratio.is_finite()).then(|| within / (capacitance * ratio.ln()))
}

/// Energy in a capacitor, in joules (F, V): half C V squared.
#[must_use]
pub fn energy_j(capacitance: f64, voltage: f64) -> f64 {
    0.5 * capacitance * voltage * voltage
}

/// Voltage at which a capacitor holds an energy, in volts (F, J): the root of 2 E / C.
#[must_use]
pub fn voltage_holding(capacitance: f64, energy: f64) -> f64 {
    (2.0 * energy / capacitance).sqrt()
}

/// Power in a resistor at the first instant of a discharge, in watts (ohm, V): V squared over R.
#[must_use]
pub fn first_instant_w(resistance: f64, from: f64) -> f64 {
    from * from / resistance
}

/// A discharge to be done: from a voltage to a voltage within a time.
#[derive(Clone, Copy, Debug)]
pub struct Discharge {
    /// Capacitance as marked, in farads.
    pub capacitance: f64,
    /// Voltage at the start.
    pub from: f64,
    /// Voltage to reach.
    pub to: f64,
    /// Seconds it may take.
    pub within: f64,
}

/// How a discharge resistor is connected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ResistorConnection {
    /// It stays across the capacitor in use, as a bleeder does, and takes its power all the time.
    Fitted,
    /// It is held across the capacitor for this one discharge.
    Momentary,
}

/// A resistor for a discharge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DischargeResistor {
    /// The largest resistance that keeps the promise with both margins, in ohms.
    pub largest: f64,
    /// The E24 value at or below it, in ohms; the figures that follow are for this one.
    pub resistance: f64,
    /// Power at the first instant, in watts.
    pub first_instant_w: f64,
    /// Energy it takes in until the voltage is reached, in joules.
    pub energy_j: f64,
    /// Rating to look for, in watts, before any headroom of the shop's own.
    pub rating_w: f64,
}

/// Rating that a resistor needs for a discharge that takes so long, in watts (W at the first instant, s).
#[must_use]
pub fn rating_w(first_instant_w: f64, within: f64, connection: ResistorConnection) -> f64 {
    let is_pulse = connection == ResistorConnection::Momentary && within <= SHORT_PULSE_S;
    if is_pulse { first_instant_w / PULSE_OVERLOAD } else { first_instant_w }
}

/// Chooses the largest E24 resistor that meets a time with the margins of [`wait_s`].
///
/// The largest is the gentlest: the power falls as the resistance rises. A fitted bleeder is rated
/// for its steady V squared over R; a momentary one for a pulse, if the time allows one. `None` as in
/// [`largest_resistance`].
#[must_use]
pub fn choose_resistor(
    task: &Discharge,
    connection: ResistorConnection,
) -> Option<DischargeResistor> {
    let capacitance = task.capacitance * CAPACITANCE_MARGIN;
    let exact = largest_resistance(capacitance, task.from, task.to, task.within)?;
    let largest = exact / RESISTANCE_MARGIN;
    let resistance = Series::E24.at_or_below(largest)?;
    let first_instant_w = first_instant_w(resistance, task.from);
    let rating_w = rating_w(first_instant_w, task.within, connection);
    let energy_j = energy_j(capacitance, task.from) - energy_j(capacitance, task.to);
    Some(DischargeResistor { largest, resistance, first_instant_w, energy_j, rating_w })
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;
    use crate::quantity::Dimension;

    /// t = RC ln(V0/V) worked independently with a numerical library (recomputed).
    #[test]
    fn discharge_agrees_with_worked_values() {
        assert_near(time_s(10e-3, 100.0, 63.0, 1.0), 4.1431, 1e-4);
        assert_near(time_s(100e-6, 220e3, 325.0, 60.0), 37.17, 1e-3);
        assert_near(time_s(100e-6, 220e3, 325.0, 34.0), 49.66, 1e-3);
        assert_near(voltage_after(0.47e-6, 1e6, 325.0, 2.0), 4.61, 2e-3);
        assert_near(first_instant_w(100.0, 63.0), 39.69, 1e-9);
    }

    /// E = CV²/2 (recomputed).
    #[test]
    fn energy_agrees_with_worked_values() {
        for (capacitance, voltage, energy) in [
            (10e-3, 35.0, 6.125),
            (10e-3, 50.0, 12.5),
            (10e-3, 63.0, 19.845),
            (22e-3, 80.0, 70.4),
            (4.7e-3, 42.0, 4.1454),
            (100e-6, 325.0, 5.28125),
            (220e-6, 400.0, 17.6),
            (470e-6, 450.0, 47.5875),
            (47e-6, 500.0, 5.875),
        ] {
            assert_near(energy_j(capacitance, voltage), energy, 1e-9);
        }
        for (capacitance, energy, voltage) in [
            (100e-6, 10.0, 447.2),
            (470e-6, 10.0, 206.3),
            (1e-3, 10.0, 141.4),
            (4.7e-3, 10.0, 65.23),
            (10e-3, 10.0, 44.72),
            (22e-3, 10.0, 30.15),
            (10e-3, 100.0, 141.4),
            (22e-3, 100.0, 95.35),
            (47e-3, 100.0, 65.23),
        ] {
            assert_near(voltage_holding(capacitance, energy), voltage, 4e-4);
        }
    }

    /// R = t/(C ln(V0/V)) and its first-instant power (recomputed).
    #[test]
    fn the_largest_resistor_agrees_with_worked_values() {
        for (capacitance, from, to, within, resistance, watts) in [
            (10e-3, 63.0, 50.0, 60.0, 25.96e3, 0.153),
            (10e-3, 63.0, 5.0, 60.0, 2.368e3, 1.676),
            (100e-6, 400.0, 50.0, 60.0, 288.5e3, 0.555),
            (47e-6, 500.0, 50.0, 300.0, 2.772e6, 0.090),
            (220e-6, 450.0, 60.0, 2.0, 4.512e3, 44.9),
        ] {
            let largest = largest_resistance(capacitance, from, to, within).unwrap();
            assert_near(largest, resistance, 3e-4);
            assert_near(first_instant_w(largest, from), watts, 3e-3);
        }
        // An X capacitor down to 60 V in 2 s.
        assert_near(largest_resistance(0.1e-6, 325.27, 60.0, 2.0).unwrap(), 11.83e6, 5e-4);
        assert_near(largest_resistance(0.47e-6, 325.27, 60.0, 2.0).unwrap(), 2.517e6, 5e-4);
    }

    /// 4700 uF from 56 V to 10 V at 28 mA (recomputed).
    #[test]
    fn a_constant_current_discharges_in_a_straight_line() {
        assert_near(constant_current_time_s(4.7e-3, 28e-3, 56.0, 10.0), 7.72, 1e-3);
        assert_near(constant_current_time_s(4.7e-3, -28e-3, -56.0, 10.0), 7.72, 1e-3);
        assert!(constant_current_time_s(4.7e-3, 28e-3, 5.0, 10.0) <= 0.0);
    }

    #[test]
    fn a_point_already_low_needs_no_wait() {
        assert!(time_s(10e-3, 100.0, 1.0, 2.0) <= 0.0);
        assert_eq!(largest_resistance(10e-3, 1.0, 2.0, 60.0), None);
        assert_eq!(largest_resistance(10e-3, 1.0, 0.0, 60.0), None, "zero is never reached");
    }

    #[test]
    fn a_negative_rail_takes_as_long_as_a_positive_one() {
        assert_near(time_s(10e-3, 100.0, -63.0, 1.0), 4.1431, 1e-4);
    }

    #[test]
    fn the_wait_carries_both_margins() {
        let quantity = |text: &str| Quantity::parse(text).unwrap();
        let wait =
            wait_s(&quantity("10 mF"), &quantity("100 ohm"), &quantity("63 V"), &quantity("1 V"));
        assert_near(wait, 4.1431 * 1.2 * 1.05, 1e-4);
    }

    #[test]
    fn an_impractical_bleeder_shows_itself() {
        let task = Discharge { capacitance: 220e-6, from: 450.0, to: 60.0, within: 2.0 };
        let fitted = choose_resistor(&task, ResistorConnection::Fitted).unwrap();
        assert_near(fitted.largest, 4512.0 / 1.26, 1e-3);
        assert_near(fitted.resistance, 3300.0, 1e-12);
        assert_near(fitted.rating_w, 450.0 * 450.0 / 3300.0, 1e-12);
        assert!(fitted.rating_w > 25.0);
        let momentary = choose_resistor(&task, ResistorConnection::Momentary).unwrap();
        assert!(momentary.rating_w <= 25.0, "the same part serves for one discharge");
        let slow = Discharge { within: 60.0, ..task };
        let slow = choose_resistor(&slow, ResistorConnection::Momentary).unwrap();
        assert_near(slow.rating_w, slow.first_instant_w, 1e-12);
    }

    proptest! {
        #[test]
        fn more_charge_or_less_current_takes_longer(
            capacitance in 1e-7..0.1_f64,
            current in 1e-3..10.0_f64,
            from in 1.0..600.0_f64,
            share in 0.0..0.99_f64,
            more in 1.001..5.0_f64,
        ) {
            let to = from * share;
            let time = constant_current_time_s(capacitance, current, from, to);
            prop_assert!(time > 0.0 && time <= capacitance * from / current);
            prop_assert!(constant_current_time_s(capacitance * more, current, from, to) > time);
            prop_assert!(constant_current_time_s(capacitance, current, from * more, to) > time);
            prop_assert!(constant_current_time_s(capacitance, current * more, from, to) < time);
        }

        #[test]
        fn the_largest_resistor_takes_just_the_time(
            capacitance in 1e-7..0.1_f64,
            from in 1.0..600.0_f64,
            share in 0.001..0.99_f64,
            within in 0.1..600.0_f64,
            more in 1.001..5.0_f64,
        ) {
            let to = from * share;
            let largest = largest_resistance(capacitance, from, to, within).unwrap();
            prop_assert!((time_s(capacitance, largest, from, to) / within - 1.0).abs() < 1e-9);
            prop_assert!(time_s(capacitance, largest * more, from, to) > within);
            prop_assert!(largest_resistance(capacitance, from, to, within * more).unwrap() > largest);
            prop_assert!(first_instant_w(largest * more, from) < first_instant_w(largest, from));
            prop_assert!(first_instant_w(largest, from * more) > first_instant_w(largest, from));
        }

        #[test]
        fn a_wait_is_never_shorter_than_the_time(
            capacitance in 1e-7..0.1_f64,
            resistance in 1.0..1e7_f64,
            from in 1.0..600.0_f64,
            share in 0.001..2.0_f64,
        ) {
            let time = time_s(capacitance, resistance, from, from * share);
            let [c, r] = [(capacitance, Dimension::CAPACITANCE), (resistance, Dimension::RESISTANCE)]
                .map(|(value, dimension)| Quantity::from_f64(value, dimension).unwrap());
            let [from, to] = [from, from * share]
                .map(|value| Quantity::from_f64(value, Dimension::VOLTAGE).unwrap());
            let wait = wait_s(&c, &r, &from, &to);
            prop_assert!(wait >= time * 1.25 && wait <= time * 1.27, "{wait} s, {time} s");
        }

        #[test]
        fn energy_and_voltage_undo_each_other(
            capacitance in 1e-7..0.1_f64,
            voltage in 0.1..600.0_f64,
            more in 1.001..5.0_f64,
        ) {
            let energy = energy_j(capacitance, voltage);
            prop_assert!((voltage_holding(capacitance, energy) / voltage - 1.0).abs() < 1e-12);
            prop_assert!(voltage_holding(capacitance, energy * more) > voltage);
            prop_assert!(voltage_holding(capacitance * more, energy) < voltage);
        }

        #[test]
        fn the_chosen_resistor_keeps_its_promise(
            capacitance in 1e-7..0.1_f64,
            from in 20.0..600.0_f64,
            share in 0.01..0.95_f64,
            within in 0.5..600.0_f64,
        ) {
            let to = from * share;
            let task = Discharge { capacitance, from, to, within };
            let chosen = choose_resistor(&task, ResistorConnection::Fitted).unwrap();
            let worst = time_s(capacitance * 1.2, chosen.resistance * 1.05, from, to);
            prop_assert!(worst <= within * (1.0 + 1e-12));
            prop_assert!(chosen.energy_j <= energy_j(capacitance * 1.2, from));
        }

        #[test]
        fn voltage_and_time_undo_each_other(
            capacitance in 1e-7..0.1_f64,
            resistance in 1.0..1e7_f64,
            from in 1.0..600.0_f64,
            share in 0.001..0.999_f64,
        ) {
            let time = time_s(capacitance, resistance, from, from * share);
            let left = voltage_after(capacitance, resistance, from, time);
            prop_assert!((left / (from * share) - 1.0).abs() < 1e-9);
        }
    }
}
