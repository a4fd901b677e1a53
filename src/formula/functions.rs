//! The table of functions that a formula can call.

use super::function::{Function, FunctionValue, Takes};
use super::physical::{number_of, physics};
use super::problem::Problem;
use super::{level, list, safety, single, supplies};
use crate::physics::rectifier::secondary;
use crate::physics::{discharge, ramp};
use crate::quantity::{Dimension, Quantity};

/// Every function there is.
///
/// A function of physics is its name, its arguments with what they measure, what it gives, and the
/// call itself, which takes quantities and gives one, or says why there is none.
pub(super) static FUNCTIONS: &[Function] = &[
    single::ABS,
    supplies::BRIDGE_AVERAGE,
    supplies::BRIDGE_PEAK,
    supplies::BRIDGE_RIPPLE,
    supplies::BRIDGE_VALLEY,
    supplies::BRIDGE_WINDING,
    physics!(
        charging_time(capacitance: CAPACITANCE, from: VOLTAGE, to: VOLTAGE, limit: CURRENT, idle: CURRENT)
            -> TIME = {
                let [c, from, to, limit, idle] =
                    [capacitance, from, to, limit, idle].map(Quantity::to_f64);
                let time = ramp::charge_time_s(c, from, to, limit, idle);
                let time = time.ok_or(Problem::NothingToCharge)?;
                number_of(time, Dimension::TIME)
            }
    ),
    safety::CONDUCTOR_CURRENT_LIMIT,
    level::DB_POWER,
    level::DB_VOLTAGE,
    physics!(
        discharge_time(capacitance: CAPACITANCE, resistance: RESISTANCE, from: VOLTAGE, to: VOLTAGE)
            -> TIME = {
                let [c, r, from, to] = [capacitance, resistance, from, to].map(Quantity::to_f64);
                number_of(discharge::time_s(c, r, from, to), Dimension::TIME)
            }
    ),
    safety::EARTH_LIMIT,
    single::EXP,
    safety::HEATER_CURRENT_LIMIT,
    safety::INSULATION_LIMIT,
    supplies::LAMP_BRIDGE_AVERAGE,
    supplies::LAMP_BRIDGE_VOLTAGE,
    supplies::LAMP_CURRENT,
    supplies::LAMP_SPLIT_AVERAGE,
    supplies::LAMP_SPLIT_VOLTAGE,
    supplies::LAMP_VOLTAGE,
    single::LN,
    single::LOG10,
    list::MAX,
    list::MEAN,
    list::MIN,
    level::POWER_RATIO,
    list::RATIO_OF_EXTREMES,
    supplies::SPLIT_AVERAGE,
    supplies::SPLIT_PEAK,
    supplies::SPLIT_RIPPLE,
    supplies::SPLIT_VALLEY,
    supplies::SPLIT_WINDING,
    list::SPREAD,
    single::SQRT,
    physics!(
        stored_energy(capacitance: CAPACITANCE, voltage: VOLTAGE) -> ENERGY = {
            let [c, v] = [capacitance, voltage].map(Quantity::to_f64);
            number_of(discharge::energy_j(c, v), Dimension::ENERGY)
        }
    ),
    safety::TOUCH_CURRENT_LIMIT,
    level::VOLTAGE_RATIO,
    physics!(
        winding_resistance(nominal: VOLTAGE, rating: POWER, rise: NONE) -> RESISTANCE = {
            let [nominal, rating, rise] = [nominal, rating, rise].map(Quantity::to_f64);
            number_of(secondary::winding_ohm(nominal, rating, rise), Dimension::RESISTANCE)
        }
    ),
];

/// The function of this name.
pub(super) fn named(name: &str) -> Option<&'static Function> {
    FUNCTIONS.iter().find(|function| function.name == name)
}

/// Tells whether a word is the name of a function that solves a circuit.
pub(super) fn is_solver(word: &str) -> bool {
    let is_solver = ["bridge_", "lamp_", "split_"].iter().any(|begin| word.starts_with(begin));
    is_solver && named(word).is_some()
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;

    #[test]
    fn the_table_is_sorted_by_name() {
        assert!(FUNCTIONS.is_sorted_by(|left, right| left.name < right.name));
    }
    /// How a call is written on the page of the format.
    fn call(function: &Function) -> String {
        let arguments = match function.takes {
            Takes::These(names) | Takes::WordsThen { names, .. } => names.join(", "),
            Takes::OneOrMore => "a, b, ...".to_owned(),
        };
        format!("{}({arguments})", function.name)
    }

    #[test]
    fn the_page_of_the_format_lists_every_function_and_no_other() {
        let page = include_str!("../../docs/procedure-format.md");
        let section = page.split("\n### Functions\n").nth(1).unwrap();
        let rows = section.split("\n#").next().unwrap().lines();
        let listed: Vec<_> = rows
            .filter_map(|row| row.strip_prefix("| `")?.split_once("` |"))
            .inspect(|(call, rest)| assert_eq!(rest.split(" | ").count(), 2, "{call}"))
            .map(|(call, _)| call.to_owned())
            .collect();
        assert_eq!(listed, FUNCTIONS.iter().map(call).collect::<Vec<_>>());
    }
}
