//! Levels and power of an audio signal.

/// How it is worked out, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("level.md");

/// Root-mean-square volts of 0 dBu: one milliwatt in 600 ohm, the root of 0.6 (definition).
const DBU_SQUARED: f64 = 0.6;

/// Power in a load, in watts (V rms, ohm): V squared over R, for a resistive load.
#[must_use]
pub fn power_w(rms: f64, load: f64) -> f64 {
    rms * rms / load
}

/// Voltage for a power in a load, in volts rms (W, ohm): the root of P R.
#[must_use]
pub fn rms_for_power(power: f64, load: f64) -> f64 {
    (power * load).sqrt()
}

/// A voltage ratio in decibels: 20 log of its size. Minus infinity for no output.
#[must_use]
pub(super) fn decibels(ratio: f64) -> f64 {
    20.0 * ratio.abs().log10()
}

/// A voltage ratio from decibels.
#[must_use]
fn ratio(decibels: f64) -> f64 {
    10_f64.powf(decibels / 20.0)
}

/// A level in dBu (V rms), whatever the impedance.
#[must_use]
pub fn dbu(rms: f64) -> f64 {
    decibels(rms / DBU_SQUARED.sqrt())
}

/// Volts rms of a level in dBu.
#[must_use]
pub fn rms_of_dbu(level: f64) -> f64 {
    ratio(level) * DBU_SQUARED.sqrt()
}

/// A level in dBV (V rms): decibels over 1 V.
#[must_use]
pub fn dbv(rms: f64) -> f64 {
    decibels(rms)
}

/// Volts rms of a level in dBV.
#[must_use]
pub fn rms_of_dbv(level: f64) -> f64 {
    ratio(level)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::mains::peak;
    use super::super::near::assert_near;
    use super::*;

    /// By definition (recomputed).
    #[test]
    fn levels_agree_with_their_definitions() {
        assert_near(rms_of_dbu(0.0), 0.774_597, 1e-6);
        assert_near(rms_of_dbu(4.0), 1.227_653, 1e-6);
        assert_near(dbu(1.0), 2.218_487, 1e-6);
        assert_near(rms_of_dbv(-10.0), 0.316_228, 2e-6);
        assert_near(dbv(0.316_228), -10.0, 1e-6);
        assert_near(decibels(-20.0), 26.0206, 1e-6);
    }

    /// 100 W into 8 ohm, and an eighth of it (recomputed).
    #[test]
    fn power_and_voltage_agree_with_worked_values() {
        assert_near(rms_for_power(100.0, 8.0), 28.2843, 2e-6);
        assert_near(peak(rms_for_power(100.0, 8.0)), 40.0, 1e-12);
        assert_near(rms_for_power(12.5, 8.0), 10.0, 1e-12);
        assert_near(power_w(10.0, 8.0), 12.5, 1e-12);
    }

    proptest! {
        #[test]
        fn power_follows_the_volts_and_undoes_them(
            rms in 1e-3..100.0_f64,
            more in 1.001..2.0_f64,
            load in 2.0..16.0_f64,
        ) {
            let power = power_w(rms, load);
            prop_assert!((rms_for_power(power, load) / rms - 1.0).abs() < 1e-12);
            prop_assert!(power_w(rms * more, load) > power && power_w(rms, load * more) < power);
            prop_assert!(rms < peak(rms) && peak(rms) < 2.0 * rms);
            prop_assert!(decibels(rms * more) > decibels(rms));
        }

        #[test]
        fn levels_and_volts_undo_each_other(rms in 1e-6..1e3_f64) {
            prop_assert!((rms_of_dbu(dbu(rms)) / rms - 1.0).abs() < 1e-12);
            prop_assert!((rms_of_dbv(dbv(rms)) / rms - 1.0).abs() < 1e-12);
            prop_assert!((dbu(rms) - dbv(rms) - 2.218_487).abs() < 1e-6);
        }
    }
}
