//! The output resistance of an amplifier, and how it damps a loudspeaker.

use super::level::decibels;

/// How it is worked out, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("damping.md");

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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;

    /// 8 ohm on 0.05 ohm (recomputed).
    #[test]
    fn damping_agrees_with_worked_values() {
        assert_near(damping_factor(8.0, 0.05), 160.0, 1e-12);
        assert_near(loading_loss_db(8.0, 0.05), 0.0541, 1e-3);
        assert_near(output_resistance(10.0625, 10.0, 8.0), 0.05, 1e-9);
    }

    proptest! {
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
        fn output_resistance_comes_back(load in 2.0..16.0_f64, inner in 1e-3..10.0_f64) {
            let loaded = load / (load + inner);
            prop_assert!((output_resistance(1.0, loaded, load) / inner - 1.0).abs() < 1e-9);
        }
    }
}
