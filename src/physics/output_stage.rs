//! An output stage at idle: current from a drop, heat, temperature, and headroom of its parts.

use std::f64::consts::PI;

/// How it is worked out, and how far that can be relied on.
pub const EXPLANATION: &str = include_str!("output_stage.md");

/// Boltzmann constant over elementary charge, in volts per kelvin (SI Brochure, 9th edition, from
/// memory; 1.380649e-23 J/K over 1.602176634e-19 C).
const VOLTS_PER_KELVIN: f64 = 1.380_649e-23 / 1.602_176_634e-19;

/// 0 degrees Celsius in kelvins (SI Brochure).
const ZERO_CELSIUS: f64 = 273.15;

/// Current from the drop across a resistor in its path, in amperes (V, ohm): V over R.
#[must_use]
pub fn idle_a(drop: f64, resistance: f64) -> f64 {
    drop / resistance
}

/// Idle current from the voltage between the two emitters or sources of a pair, in amperes (V, ohm
/// each): V over 2 R.
///
/// Assumes both resistors alike and no load current.
#[must_use]
pub fn idle_between_a(voltage: f64, each: f64) -> f64 {
    voltage / (2.0 * each)
}

/// Idle heat of one output device, in watts (V, A, ohm).
///
/// (rail - I R) I: the rail against the output, less the drop in its emitter or source resistor. Assumes
/// the output at 0 V.
#[must_use]
pub fn device_w(rail: f64, idle: f64, emitter_resistance: f64) -> f64 {
    (rail.abs() - idle.abs() * emitter_resistance) * idle.abs()
}

/// Idle power of a whole stage, in watts (V, V, A): the sum of both rails times its total idle current.
#[must_use]
pub fn stage_w(positive: f64, negative: f64, idle: f64) -> f64 {
    (positive.abs() + negative.abs()) * idle.abs()
}

/// Heat of a class B stage while it delivers a sine, in watts (V, ohm, V peak).
///
/// 2 V_rail V_peak / (pi R) - V_peak squared / (2 R), of any electronics text: symmetric rails that do
/// not sag, a resistive load and no idle current. Holds while V_peak is at most the rail.
#[must_use]
pub fn class_b_w(rail: f64, load: f64, peak: f64) -> f64 {
    2.0 * rail.abs() * peak / (PI * load) - peak * peak / (2.0 * load)
}

/// The most heat of a class B stage at any level, in watts (V, ohm): 2 V_rail squared / (pi squared R),
/// where the peak is 2/pi of the rail.
#[must_use]
pub fn class_b_worst_w(rail: f64, load: f64) -> f64 {
    class_b_w(rail, load, 2.0 * rail.abs() / PI)
}

/// The way of the heat from devices to the air, in kelvins per watt.
#[derive(Clone, Copy, Debug)]
pub struct HeatPath {
    /// Junction to case, of each device.
    pub junction_to_case: f64,
    /// Case to heatsink with washer and compound, of each device.
    pub case_to_sink: f64,
    /// Heatsink to air, shared by all.
    pub sink_to_air: f64,
}

/// Temperature estimates, in degrees Celsius.
#[derive(Clone, Copy, Debug)]
pub struct Temperatures {
    /// Heatsink.
    pub sink: f64,
    /// Case of a device.
    pub case: f64,
    /// Junction of a device.
    pub junction: f64,
}

/// The hottest junction of a silicon power device in its sheet, in degrees Celsius: 150 or 175, the lower one here (from
/// memory; the sheet wins).
pub const JUNCTION_MAX_C: f64 = 150.0;

/// Estimates settled temperatures (degrees Celsius, W in one device, W in everything on the heatsink).
///
/// Each step rises by its watts times its thermal resistance: steady state, one even heatsink, still
/// ambient. An estimate only, as washers and air movement are seldom known well.
#[must_use]
pub fn temperatures(
    ambient: f64,
    device_w: f64,
    on_the_sink_w: f64,
    path: &HeatPath,
) -> Temperatures {
    let sink = ambient + on_the_sink_w * path.sink_to_air;
    let case = sink + device_w * path.case_to_sink;
    Temperatures { sink, case, junction: case + device_w * path.junction_to_case }
}

/// Thermal voltage kT/q at a junction temperature in degrees Celsius, in volts.
#[must_use]
pub fn thermal_voltage(celsius: f64) -> f64 {
    VOLTS_PER_KELVIN * (celsius + ZERO_CELSIUS)
}

/// Least-distortion idle current of a bipolar class AB pair, in amperes (V, ohm): information to set
/// beside the maker's figure, which wins.
///
/// I = (kT/q) / (R_e + r_e + r_b / h_FE); B. M. Oliver, HP Journal, February 1971 (the formula read in a
/// summary that quotes it; page numbers from memory). `effective` is that sum of resistances. With the
/// bare emitter resistor it is too high by what resistance there is inside, and as the voltage is that of the junction, a
/// hotter one raises it by a third of a per cent each kelvin: an estimate, and no bound. Not for field-effect devices.
#[must_use]
pub fn oliver_idle_a(thermal_voltage: f64, effective: f64) -> f64 {
    thermal_voltage / effective
}

/// Power in a resistor from the drop across it, in watts (V, ohm).
#[must_use]
pub fn resistor_w(drop: f64, resistance: f64) -> f64 {
    drop * drop / resistance
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::near::assert_near;
    use super::*;

    /// SI constants (from memory, recomputed).
    #[test]
    fn thermal_voltage_is_kt_over_q() {
        assert_near(VOLTS_PER_KELVIN, 8.617_333_262e-5, 1e-9);
        assert_near(thermal_voltage(20.0), 25.2617e-3, 2e-6);
        assert_near(thermal_voltage(25.0), 25.6926e-3, 2e-6);
    }

    /// Oliver 1971 at 26 mV: formula seen in a summary, answers recomputed.
    #[test]
    fn the_least_distortion_current_is_an_upper_bound() {
        for (emitter, idle) in [(0.10, 0.260), (0.22, 0.118), (0.33, 0.0788), (0.47, 0.0553)] {
            assert_near(oliver_idle_a(0.026, emitter), idle, 2e-3);
            assert!(oliver_idle_a(0.026, emitter + 0.05) < oliver_idle_a(0.026, emitter));
        }
        // About 52 mV between the emitters of a pair.
        assert_near(idle_between_a(0.052, 0.22), oliver_idle_a(0.026, 0.22), 1e-12);
    }

    /// Worked by hand.
    #[test]
    fn idle_and_heat_follow_from_a_drop() {
        assert_near(idle_a(10e-3, 0.22), 45.4545e-3, 1e-5);
        assert_near(device_w(-50.0, 0.1, 1.0), 4.99, 1e-12);
        assert_near(stage_w(50.0, -50.0, 0.1), 10.0, 1e-12);
        assert_near(resistor_w(10e-3, 0.22), 454.545e-6, 1e-5);
    }

    /// An example that others published: 5 W over 3, 1 and 8 K/W into air of 25 degrees have the case at 70 and the junction at 85
    /// (the worked example of a page on chains of thermal resistances).
    #[test]
    fn a_published_way_of_the_heat_is_met() {
        let path = HeatPath { junction_to_case: 3.0, case_to_sink: 1.0, sink_to_air: 8.0 };
        let settled = temperatures(25.0, 5.0, 5.0, &path);
        assert_near(settled.case, 70.0, 1e-12);
        assert_near(settled.junction, 85.0, 1e-12);
    }

    #[test]
    fn heat_warms_each_step() {
        let path = HeatPath { junction_to_case: 0.7, case_to_sink: 0.5, sink_to_air: 0.6 };
        let settled = temperatures(25.0, 5.0, 20.0, &path);
        assert_near(settled.sink, 37.0, 1e-12);
        assert_near(settled.case, 39.5, 1e-12);
        assert_near(settled.junction, 43.0, 1e-12);
    }

    proptest! {
        #[test]
        fn more_drop_means_more_idle_and_more_heat(
            drop in 1e-4..0.5_f64,
            resistance in 0.05..10.0_f64,
            more in 1.001..2.0_f64,
        ) {
            let idle = idle_a(drop, resistance);
            prop_assert!(idle_a(drop * more, resistance) > idle && idle_a(drop, resistance * more) < idle);
            assert_near(idle_between_a(2.0 * drop, resistance), idle, 1e-12);
            assert_near(resistor_w(drop, resistance), drop * idle, 1e-12);
            let heat = stage_w(40.0, -40.0, idle);
            prop_assert!(stage_w(40.0, -40.0, idle * more) > heat && stage_w(40.0 * more, -40.0, idle) > heat);
        }

        #[test]
        fn a_device_takes_what_its_resistor_leaves_of_the_rail(
            rail in 5.0..100.0_f64,
            share in 0.0..0.45_f64,
            resistance in 0.05..10.0_f64,
            more in 1.001..1.1_f64,
        ) {
            let idle = share * rail / resistance;
            let heat = device_w(rail, idle, resistance);
            assert_near(heat + resistor_w(idle * resistance, resistance), rail * idle, 1e-9);
            prop_assert!(heat >= 0.0 && device_w(rail * more, idle, resistance) >= heat);
            // Up to half the rail across the resistor; past that, more current is less heat.
            prop_assert!(device_w(rail, idle * more, resistance) >= heat);
        }

        #[test]
        fn a_hotter_junction_asks_for_more_idle(
            celsius in -40.0..150.0_f64,
            warmer in 0.1..50.0_f64,
            effective in 0.05..1.0_f64,
            more in 1.001..2.0_f64,
        ) {
            let (cool, warm) = (thermal_voltage(celsius), thermal_voltage(celsius + warmer));
            prop_assert!(0.0 < cool && cool < warm);
            prop_assert!(oliver_idle_a(warm, effective) > oliver_idle_a(cool, effective));
            prop_assert!(oliver_idle_a(cool, effective * more) < oliver_idle_a(cool, effective));
        }

        #[test]
        fn no_level_is_hotter_than_the_worst(
            rail in 5.0..100.0_f64,
            load in 2.0..16.0_f64,
            share in 0.0..1.0_f64,
        ) {
            let worst = class_b_worst_w(rail, load);
            prop_assert!(class_b_w(rail, load, rail * share) <= worst * (1.0 + 1e-12));
            prop_assert!((worst / (2.0 * rail * rail / (PI * PI * load)) - 1.0).abs() < 1e-9);
        }

        #[test]
        fn more_heat_is_never_cooler(watts in 0.0..100.0_f64, more in 0.0..100.0_f64) {
            let path = HeatPath { junction_to_case: 0.7, case_to_sink: 0.5, sink_to_air: 0.6 };
            let cool = temperatures(25.0, watts, watts, &path);
            let warm = temperatures(25.0, watts + more, watts + more, &path);
            prop_assert!(warm.junction >= cool.junction && cool.junction >= cool.sink);
        }
    }
}
