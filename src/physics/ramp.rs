//! Bringing a bench supply up on a circuit with reservoir capacitors.
//!
//! Every function takes the load as a constant idle current beside an ideal capacitance: i = C dV/dt.
//! An idle current that rises with the voltage is to be given at the highest voltage of the ramp.

/// How it is worked out, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("ramp.md");

/// Current that charges a capacitance along a ramp, in amperes (F, V/s).
#[must_use]
pub fn charging_current_a(capacitance: f64, volts_per_second: f64) -> f64 {
    capacitance * volts_per_second
}

/// Current limit to set for a ramp, in amperes (A, F, V/s): idle and charging current together, times
/// a headroom of 1 or more.
///
/// Meant to let the ramp through and little else, so a fault shows as the limit lamp.
#[must_use]
pub fn current_limit_a(idle: f64, capacitance: f64, volts_per_second: f64, headroom: f64) -> f64 {
    headroom * (idle + charging_current_a(capacitance, volts_per_second))
}

/// Fastest ramp that stays under a current limit, in volts per second (A, A, F).
///
/// dV/dt = (I_limit - I_idle) / C. `None` when idle alone takes the limit. Capacitors may be 20 % above
/// their marking ([`super::discharge::CAPACITANCE_MARGIN`]): give the larger value.
#[must_use]
pub fn fastest_ramp(limit: f64, idle: f64, capacitance: f64) -> Option<f64> {
    (limit > idle).then(|| (limit - idle) / capacitance)
}

/// Time to charge between two voltages with the supply at its limit, in seconds (F, V, V, A, A);
/// `None` when idle alone takes the limit.
///
/// t = C (V - V0) / (I_limit - I_idle); zero when the voltage is already there.
#[must_use]
pub fn charge_time_s(capacitance: f64, from: f64, to: f64, limit: f64, idle: f64) -> Option<f64> {
    fastest_ramp(limit, idle, capacitance).map(|rate| (to.abs() - from.abs()).max(0.0) / rate)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;

    /// Worked by hand: 10 mF at 2 V/s draws 20 mA.
    #[test]
    fn a_ramp_draws_its_charging_current() {
        assert_near(charging_current_a(10e-3, 2.0), 20e-3, 1e-12);
        assert_near(current_limit_a(30e-3, 10e-3, 2.0, 1.5), 75e-3, 1e-12);
        assert_near(charge_time_s(10e-3, 0.0, 30.0, 50e-3, 30e-3).unwrap(), 15.0, 1e-12);
    }

    #[test]
    fn a_limit_that_idle_takes_charges_nothing() {
        assert_eq!(fastest_ramp(30e-3, 30e-3, 10e-3), None);
        assert_eq!(charge_time_s(10e-3, 0.0, 30.0, 20e-3, 30e-3), None);
    }

    #[test]
    fn a_charged_capacitor_takes_no_time() {
        assert!(charge_time_s(10e-3, 30.0, 20.0, 50e-3, 0.0).unwrap() <= 0.0);
    }

    proptest! {
        #[test]
        fn a_faster_ramp_or_more_capacitance_asks_for_more(
            idle in 0.0..1.0_f64,
            capacitance in 1e-6..0.1_f64,
            rate in 0.01..50.0_f64,
            more in 1.001..5.0_f64,
        ) {
            let drawn = charging_current_a(capacitance, rate);
            prop_assert!(charging_current_a(capacitance * more, rate) > drawn);
            let limit = current_limit_a(idle, capacitance, rate, 1.5);
            prop_assert!(limit > idle + drawn);
            prop_assert!(current_limit_a(idle, capacitance, rate * more, 1.5) > limit);
        }

        #[test]
        fn a_higher_limit_never_charges_slower(
            capacitance in 1e-6..0.1_f64,
            (from, to) in (0.0..60.0_f64, 0.0..60.0_f64),
            idle in 0.0..1.0_f64,
            spare in 1e-3..5.0_f64,
            more in 1.001..5.0_f64,
        ) {
            let time = |limit, to| charge_time_s(capacitance, from, to, limit, idle).unwrap();
            let taken = time(idle + spare, to);
            prop_assert!(taken >= 0.0 && time(idle + spare * more, to) <= taken);
            prop_assert!(time(idle + spare, to * more) >= taken);
        }

        #[test]
        fn the_fastest_ramp_takes_just_the_limit(
            idle in 0.0..1.0_f64,
            spare in 1e-3..5.0_f64,
            capacitance in 1e-6..0.1_f64,
        ) {
            let limit = idle + spare;
            let rate = fastest_ramp(limit, idle, capacitance).unwrap();
            let drawn = current_limit_a(idle, capacitance, rate, 1.0);
            prop_assert!((drawn / limit - 1.0).abs() < 1e-9);
        }
    }
}
