//! Levels, power, damping and distortion of an audio amplifier.

use std::f64::consts::SQRT_2;

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

/// Peak of a sine, in volts (V rms).
#[must_use]
pub fn sine_peak(rms: f64) -> f64 {
    rms * SQRT_2
}

/// A voltage ratio in decibels: 20 log of its size. Minus infinity for no output.
#[must_use]
pub fn decibels(ratio: f64) -> f64 {
    20.0 * ratio.abs().log10()
}

/// A voltage ratio from decibels.
#[must_use]
pub fn ratio(decibels: f64) -> f64 {
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

/// Output resistance from the level without and with a load, in ohms (V, V, ohm).
///
/// R_L (V_open / V_load - 1), at one frequency and below clipping. Both levels come from the same
/// meter, so a difference below its resolution says nothing.
#[must_use]
pub fn output_resistance(open: f64, loaded: f64, load: f64) -> f64 {
    load * (open / loaded - 1.0)
}

/// Damping factor (ohm, ohm): load over output resistance, without the cable.
#[must_use]
pub fn damping_factor(load: f64, output_resistance: f64) -> f64 {
    load / output_resistance
}

/// Level lost in the output resistance, in decibels (ohm, ohm).
#[must_use]
pub fn loading_loss_db(load: f64, output_resistance: f64) -> f64 {
    decibels(1.0 + output_resistance / load)
}

/// Distortion over the fundamental, THD_F, as a ratio, from the fundamental and its harmonics.
#[must_use]
pub fn thd_f(fundamental: f64, harmonics: &[f64]) -> f64 {
    harmonics.iter().map(|harmonic| harmonic * harmonic).sum::<f64>().sqrt() / fundamental
}

/// Distortion over the whole signal, THD_R, from THD_F: F / sqrt(1 + F squared).
#[must_use]
pub fn thd_r_from_f(thd_f: f64) -> f64 {
    thd_f / thd_f.hypot(1.0)
}

/// Distortion over the fundamental, THD_F, from THD_R; `None` for what no signal has, as THD_R stays
/// below 1.
#[must_use]
pub fn thd_f_from_r(thd_r: f64) -> Option<f64> {
    (0.0..1.0).contains(&thd_r).then(|| thd_r / (1.0 - thd_r * thd_r).sqrt())
}

/// Conditions of the United States' rule for rating amplifier power.
///
/// 16 CFR 432 (432.2, 432.3(a) to (d)), text of the 2006 edition seen. The rule was amended with effect from
/// 12 August 2024 (89 FR 49797), and its present figures were not seen: check before quoting them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PowerRule {
    /// Supply, in volts rms.
    pub supply_v: f64,
    /// Supply frequency, in hertz.
    pub supply_hz: f64,
    /// Harmonic content of the supply, as a ratio; below this.
    pub supply_harmonics: f64,
    /// Share of rated power while warming up, all channels driven.
    pub warm_up_share: f64,
    /// Seconds of warming up.
    pub warm_up_s: f64,
    /// Frequency of the warming-up sine, in hertz.
    pub warm_up_hz: f64,
    /// Lowest ambient, in degrees Celsius, in still air.
    pub ambient: f64,
    /// Load, in ohms, unless the design has another; all associated channels driven.
    pub load: f64,
    /// From this power to the rated one, in watts, the distortion has to hold.
    pub distortion_from_w: f64,
}

/// 16 CFR 432.2 and 432.3, text of the 2006 edition (seen).
pub const CFR_432_2006: PowerRule = PowerRule {
    supply_v: 120.0,
    supply_hz: 60.0,
    supply_harmonics: 0.02,
    warm_up_share: 0.125,
    warm_up_s: 3600.0,
    warm_up_hz: 1000.0,
    ambient: 25.0,
    load: 8.0,
    distortion_from_w: 0.25,
};

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use std::f64::consts::PI;

    use proptest::prelude::*;

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

    /// 100 W into 8 ohm, and an eighth of it (recomputed); 16 CFR 432.3 (seen).
    #[test]
    fn power_and_voltage_agree_with_worked_values() {
        assert_near(rms_for_power(100.0, 8.0), 28.2843, 2e-6);
        assert_near(sine_peak(rms_for_power(100.0, 8.0)), 40.0, 1e-12);
        let warm_up = 100.0 * CFR_432_2006.warm_up_share;
        assert_near(warm_up, 12.5, 1e-12);
        assert_near(rms_for_power(warm_up, 8.0), 10.0, 1e-12);
        assert_near(power_w(10.0, 8.0), 12.5, 1e-12);
    }

    /// 16 CFR 432.2 and 432.3(a) to (d), 2006 edition (seen).
    #[test]
    fn the_power_rule_is_as_published() {
        let rule = CFR_432_2006;
        let got = [rule.supply_v, rule.supply_hz, rule.supply_harmonics, rule.warm_up_s];
        for (got, want) in got.into_iter().zip([120.0, 60.0, 0.02, 3600.0]) {
            assert_near(got, want, 1e-12);
        }
        assert_near(rule.warm_up_hz, 1000.0, 1e-12);
        assert_near(rule.ambient, 25.0, 1e-12);
        assert_near(rule.load, 8.0, 1e-12);
        assert_near(rule.distortion_from_w, 0.25, 1e-12);
    }

    /// 8 ohm on 0.05 ohm (recomputed).
    #[test]
    fn damping_agrees_with_worked_values() {
        assert_near(damping_factor(8.0, 0.05), 160.0, 1e-12);
        assert_near(loading_loss_db(8.0, 0.05), 0.0541, 1e-3);
        assert_near(output_resistance(10.0625, 10.0, 8.0), 0.05, 1e-9);
    }

    /// Closed forms of a square, a triangle and a sawtooth (recomputed), summed from their harmonics.
    #[test]
    fn distortion_of_plain_waves_agrees_with_closed_forms() {
        let series = |step: usize, order: i32| -> Vec<f64> {
            (1..200_000).step_by(step).skip(1).map(|n| f64::from(n).powi(-order)).collect()
        };
        assert_near(thd_f(1.0, &series(2, 1)), 0.483_426, 2e-5);
        assert_near(thd_f(1.0, &series(2, 2)), 0.121_153, 5e-6);
        assert_near(thd_f(1.0, &series(1, 1)), 0.803_078, 2e-5);
        assert_near(thd_r_from_f((PI * PI / 8.0 - 1.0).sqrt()), 0.435_236, 2e-6);
    }

    #[test]
    fn no_signal_is_all_distortion() {
        assert_eq!(thd_f_from_r(1.0), None);
        assert_eq!(thd_f_from_r(-0.1), None);
        assert_eq!(thd_f_from_r(f64::NAN), None);
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
            prop_assert!(rms < sine_peak(rms) && sine_peak(rms) < 2.0 * rms);
            prop_assert!(decibels(rms * more) > decibels(rms));
        }

        #[test]
        fn a_stiffer_output_damps_more_and_loses_less(
            load in 2.0..16.0_f64,
            inner in 1e-3..10.0_f64,
            more in 1.001..10.0_f64,
        ) {
            prop_assert!(damping_factor(load, inner * more) < damping_factor(load, inner));
            let loss = loading_loss_db(load, inner);
            prop_assert!(loss > 0.0 && loading_loss_db(load, inner * more) > loss);
        }

        #[test]
        fn another_harmonic_never_distorts_less(
            harmonics in prop::collection::vec(-1.0..1.0_f64, 1..8),
            another in -1.0..1.0_f64,
        ) {
            let before = thd_f(1.0, &harmonics);
            let largest = harmonics.iter().fold(0.0_f64, |most, harmonic| most.max(harmonic.abs()));
            let sum: f64 = harmonics.iter().map(|harmonic| harmonic.abs()).sum();
            let rounding = 1.0 + 1e-12;
            prop_assert!(largest <= before * rounding && before <= sum * rounding);
            let all = [harmonics, vec![another]].concat();
            prop_assert!(thd_f(1.0, &all) >= before);
        }

        #[test]
        fn both_distortions_undo_each_other(thd in 0.0..20.0_f64) {
            let back = thd_f_from_r(thd_r_from_f(thd)).unwrap();
            prop_assert!((back - thd).abs() <= 1e-9 * (1.0 + thd * thd));
            prop_assert!(thd_r_from_f(thd) <= thd);
        }

        #[test]
        fn levels_and_volts_undo_each_other(rms in 1e-6..1e3_f64) {
            prop_assert!((rms_of_dbu(dbu(rms)) / rms - 1.0).abs() < 1e-12);
            prop_assert!((rms_of_dbv(dbv(rms)) / rms - 1.0).abs() < 1e-12);
            prop_assert!((dbu(rms) - dbv(rms) - 2.218_487).abs() < 1e-6);
        }

        #[test]
        fn output_resistance_comes_back(load in 2.0..16.0_f64, inner in 1e-3..10.0_f64) {
            let loaded = load / (load + inner);
            prop_assert!((output_resistance(1.0, loaded, load) / inner - 1.0).abs() < 1e-9);
        }
    }
}
