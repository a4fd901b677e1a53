//! Functions of physics about rails and series lamps: each solves the steady state of the circuit it names.

use super::function::{Function, FunctionValue, Takes};
use super::physical::{number_of, physics};
use super::problem::Problem;
use crate::physics::lamp::{Lamp, OnTransformer, OperatingPoint, Transformer};
use crate::physics::rectifier::{Fitted, Load, Rail, RailSupply, Topology};
use crate::quantity::{Dimension, Quantity};

/// A supply by what a formula gives: secondary, winding, reservoir, load and frequency.
fn supply(
    topology: Topology,
    [secondary, winding, reservoir, load, frequency]: [&Quantity; 5],
) -> RailSupply {
    RailSupply {
        topology,
        secondary_v: secondary.to_f64(),
        winding_ohm: winding.to_f64(),
        mains_hz: frequency.to_f64(),
        diode: Fitted::for_load(load.to_f64()).diode(),
        reservoir_f: reservoir.to_f64(),
        load: Load::Current(load.to_f64()),
    }
}

fn rail(topology: Topology, given: [&Quantity; 5]) -> Result<Rail, Problem> {
    Ok(supply(topology, given).steady()?)
}

/// What of a rail is wanted: its value and what that measures.
type OfRail = (fn(&Rail) -> f64, Dimension);

const AVERAGE: OfRail = (|rail| rail.average_v, Dimension::VOLTAGE);
const PEAK: OfRail = (|rail| rail.peak_v, Dimension::VOLTAGE);
const VALLEY: OfRail = (|rail| rail.valley_v, Dimension::VOLTAGE);
const RIPPLE: OfRail = (Rail::ripple_v, Dimension::VOLTAGE);
const WINDING: OfRail = (|rail| rail.winding_rms_a, Dimension::CURRENT);

macro_rules! of_rail {
    ($($constant:ident = $name:ident: $topology:ident, $wanted:ident -> $result:ident;)+) => {$(
        pub(super) const $constant: Function = physics!(
            $name(secondary: VOLTAGE, winding: RESISTANCE, reservoir: CAPACITANCE, load: CURRENT, frequency: FREQUENCY)
                -> $result = {
                    let given = [secondary, winding, reservoir, load, frequency];
                    let (of, dimension) = $wanted;
                    rail(Topology::$topology, given).and_then(|rail| number_of(of(&rail), dimension))
                }
        );
    )+};
}

of_rail! {
    BRIDGE_AVERAGE = bridge_average: Bridge, AVERAGE -> VOLTAGE;
    BRIDGE_PEAK = bridge_peak: Bridge, PEAK -> VOLTAGE;
    BRIDGE_RIPPLE = bridge_ripple: Bridge, RIPPLE -> VOLTAGE;
    BRIDGE_VALLEY = bridge_valley: Bridge, VALLEY -> VOLTAGE;
    BRIDGE_WINDING = bridge_winding: Bridge, WINDING -> CURRENT;
    SPLIT_AVERAGE = split_average: SplitRails, AVERAGE -> VOLTAGE;
    SPLIT_PEAK = split_peak: SplitRails, PEAK -> VOLTAGE;
    SPLIT_RIPPLE = split_ripple: SplitRails, RIPPLE -> VOLTAGE;
    SPLIT_VALLEY = split_valley: SplitRails, VALLEY -> VOLTAGE;
    SPLIT_WINDING = split_winding: SplitRails, WINDING -> CURRENT;
}

/// Settles a lamp before a transformer; its magnetising current is taken as zero.
fn behind_lamp(
    [lamp, mains, primary]: [&Quantity; 3],
    supply: &RailSupply,
) -> Result<OnTransformer, Problem> {
    let mains = mains.to_f64();
    let transformer =
        Transformer { primary_v: mains, primary_ohm: primary.to_f64(), magnetising_a: 0.0 };
    let lamp = Lamp::general_service(lamp.to_f64(), mains);
    Ok(lamp.with_rectifier(mains, &transformer, supply)?)
}

macro_rules! of_lamp_and_rail {
    ($($constant:ident = $name:ident: $topology:ident, $wanted:expr;)+) => {$(
        pub(super) const $constant: Function = physics!(
            $name(lamp: POWER, mains: VOLTAGE, primary: RESISTANCE, secondary: VOLTAGE, winding: RESISTANCE,
                reservoir: CAPACITANCE, load: CURRENT, frequency: FREQUENCY) -> VOLTAGE = {
                    let supply =
                        supply(Topology::$topology, [secondary, winding, reservoir, load, frequency]);
                    let of: fn(&OnTransformer) -> f64 = $wanted;
                    let settled = behind_lamp([lamp, mains, primary], &supply);
                    settled.and_then(|settled| number_of(of(&settled), Dimension::VOLTAGE))
                }
        );
    )+};
}

of_lamp_and_rail! {
    LAMP_BRIDGE_AVERAGE = lamp_bridge_average: Bridge, |settled| settled.rail.average_v;
    LAMP_BRIDGE_VOLTAGE = lamp_bridge_voltage: Bridge, |settled| settled.lamp.lamp_v;
    LAMP_SPLIT_AVERAGE = lamp_split_average: SplitRails, |settled| settled.rail.average_v;
    LAMP_SPLIT_VOLTAGE = lamp_split_voltage: SplitRails, |settled| settled.lamp.lamp_v;
}

fn before_a_resistance(
    lamp: &Quantity,
    mains: &Quantity,
    load: &Quantity,
) -> Result<OperatingPoint, Problem> {
    let lamp = Lamp::general_service(lamp.to_f64(), mains.to_f64());
    Ok(lamp.with_resistance(mains.to_f64(), load.to_f64())?)
}

pub(super) const LAMP_CURRENT: Function = physics!(
    lamp_current(lamp: POWER, mains: VOLTAGE, load: RESISTANCE) -> CURRENT = {
        let settled = before_a_resistance(lamp, mains, load);
        settled.and_then(|settled| number_of(settled.current_a, Dimension::CURRENT))
    }
);

pub(super) const LAMP_VOLTAGE: Function = physics!(
    lamp_voltage(lamp: POWER, mains: VOLTAGE, load: RESISTANCE) -> VOLTAGE = {
        let settled = before_a_resistance(lamp, mains, load);
        settled.and_then(|settled| number_of(settled.lamp_v, Dimension::VOLTAGE))
    }
);

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use crate::formula::Formula;
    use crate::quantity::{Dimension, Estimate, Quantity, Shape};

    fn value(formula: &str) -> f64 {
        Formula::parse(formula).unwrap().evaluate(&|_: &str| None).unwrap().to_f64()
    }

    fn is_near(formula: &str, wanted: f64, part: f64) {
        let found = value(formula);
        assert!((found / wanted - 1.0).abs() < part, "{formula} gives {found}, not {wanted}");
    }

    /// First rows of each kind of the independent circuit simulation under tests/data (ngspice 39).
    #[test]
    fn rails_and_lamps_agree_with_the_circuit_simulator() {
        let split = "(12 V, 0.3 ohm, 4700 uF, 0.1 A, 50 Hz)";
        is_near(&format!("split_average{split}"), 15.6871, 0.02);
        is_near(&format!("split_peak{split}"), 15.7765, 0.02);
        is_near(&format!("split_valley{split}"), 15.5969, 0.02);
        is_near(&format!("split_ripple{split}"), 0.17959, 0.05);
        is_near(&format!("split_winding{split}"), 0.2865, 0.05);
        is_near("lamp_current(40 W, 230 V, 1763.33 ohm)", 0.09393, 0.02);
        is_near("lamp_voltage(40 W, 230 V, 1763.33 ohm)", 64.367, 0.02);
    }

    /// An unequal drop of two diodes apart, a bridge on one winding is a split supply with one diode more.
    #[test]
    fn a_bridge_loses_one_diode_more_than_split_rails() {
        let given = "(24 V, 0.5 ohm, 4700 uF, 0.2 A, 50 Hz)";
        let drop = value(&format!("split_peak{given}")) - value(&format!("bridge_peak{given}"));
        assert!((0.5..1.1).contains(&drop), "{drop} V");
    }

    /// The diodes go with the load: those of 1 A up to 1 A, a bridge of 25 A at 8 A.
    #[test]
    fn a_large_load_is_worked_out_with_a_large_bridge() {
        let small = value("bridge_average(12 V, 0.05 ohm, 47 mF, 1 A, 50 Hz)");
        let large = value("bridge_average(12 V, 0.05 ohm, 47 mF, 8 A, 50 Hz)");
        assert!((0.6..2.4).contains(&(small - large)), "{small} V, {large} V");
    }

    #[test]
    fn a_lamp_lowers_the_rail_and_takes_the_more_the_more_is_drawn() {
        let rest = "8.5 ohm, 31 V, 0.5 ohm, 10 mF";
        let direct = value("split_average(31 V, 0.5 ohm, 10 mF, 0.3 A, 50 Hz)");
        let behind = value(&format!("lamp_split_average(60 W, 230 V, {rest}, 0.3 A, 50 Hz)"));
        assert!(behind < direct, "{behind} V behind the lamp, {direct} V without");
        let little = value(&format!("lamp_split_voltage(60 W, 230 V, {rest}, 0.05 A, 50 Hz)"));
        let much = value(&format!("lamp_split_voltage(60 W, 230 V, {rest}, 0.5 A, 50 Hz)"));
        assert!(little < much, "{little} V, {much} V");
    }

    #[test]
    fn the_uncertainty_of_a_secondary_reaches_the_rail() {
        let secondary = Quantity::parse("31 V").unwrap();
        let secondary =
            Estimate::exact(secondary).with_bounds("secondary", Shape::Rectangular, 0.31);
        let of = |name: &str| (name == "secondary").then(|| vec![secondary.clone()]);
        let formula = "split_average(secondary, 0.5 ohm, 10 mF, 0.1 A, 50 Hz)";
        let rail = Formula::parse(formula).unwrap().estimate(&of).unwrap();
        assert_eq!(rail.value.dimension, Dimension::VOLTAGE);
        let relative = rail.standard_uncertainty() / rail.value.to_f64();
        let given = 0.31 / 3_f64.sqrt() / 31.0;
        assert!((relative / given - 1.0).abs() < 0.05, "{relative} for {given}");
    }
}
