//! The functions a formula can call.

use super::number::Number;
use super::physical::{applied, number_of, physics};
use super::word::Words;
use super::{level, list, safety, single, supplies};
use crate::physics::{discharge, ramp};
use crate::quantity::{Dimension, Quantity, Terms};

/// A function: what it is called with, and how its dimension and its value follow.
#[derive(Debug)]
pub(super) struct Function {
    pub(super) name: &'static str,
    pub(super) takes: Takes,
    /// Is given one dimension for every argument.
    pub(super) dimension: fn(&[Dimension]) -> Result<Dimension, Refusal>,
    pub(super) work: Work,
}

/// What a function is called with.
#[derive(Debug, Clone, Copy)]
pub(super) enum Takes {
    /// Exactly these, in this order or by name.
    These(&'static [&'static str]),
    /// Likewise; in the place of the first of them stand words of these lists.
    WordsThen { words: &'static [Words], names: &'static [&'static str] },
    /// One value or more, or all readings of one name.
    OneOrMore,
}

/// How a function is worked out, in base units where it takes bare numbers.
#[derive(Debug, Clone, Copy)]
pub(super) enum Work {
    /// Of one number: its value, and how steeply that follows the number.
    Single { value: fn(f64) -> Result<f64, String>, slope: fn(f64) -> f64 },
    /// Of any number of numbers: its value, and how steeply that follows each of them.
    List { value: fn(&[f64]) -> Result<f64, String>, slopes: fn(&[f64]) -> Vec<f64> },
    /// Of quantities; how steeply it follows each of them is found by trying.
    Physics(fn(&[Quantity]) -> Result<Quantity, String>),
}

/// Why a function does not take what it was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Refusal {
    /// The argument it is about, counted from 0.
    pub(super) argument: usize,
    pub(super) message: String,
}

/// Every function there is.
///
/// A function of physics is its name, its arguments with what they measure, what it gives, and the
/// call itself, which takes quantities and gives one, or an error in words.
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
                let time = time.ok_or("the limit leaves nothing over the idle current")?;
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
];

impl Function {
    /// The list of words of which one stands in this argument's place; none for a value.
    pub(super) fn words(&self, argument: Option<&str>, position: usize) -> Option<&'static Words> {
        let Takes::WordsThen { words, names } = self.takes else { return None };
        let named = |name: &str| names.iter().position(|own| *own == name);
        words.get(argument.map_or(Some(position), named)?)
    }

    pub(super) fn named(name: &str) -> Option<&'static Function> {
        FUNCTIONS.iter().find(|function| function.name == name)
    }
}

impl Work {
    /// Works out the value in base units and what makes it uncertain.
    pub(super) fn apply(&self, given: &[Number]) -> Result<(f64, Terms), Refusal> {
        let values: Vec<f64> = given.iter().map(|number| number.value).collect();
        let (value, slopes) = match *self {
            Work::Single { value, slope } => {
                let of = values.first().copied().unwrap_or(f64::NAN);
                (value(of).map_err(Refusal::of_first)?, vec![slope(of)])
            }
            Work::List { value, slopes } => {
                (value(&values).map_err(Refusal::of_first)?, slopes(&values))
            }
            Work::Physics(function) => applied(function, given)?,
        };
        let parts = slopes.into_iter().zip(given.iter().map(|number| &number.terms));
        Ok((value, Terms::linear(parts)))
    }
}

impl Refusal {
    pub(super) fn new(argument: usize, message: impl Into<String>) -> Self {
        Self { argument, message: message.into() }
    }

    pub(super) fn of_first(message: String) -> Self {
        Self::new(0, message)
    }
}

pub(super) fn first(given: &[Dimension]) -> Result<Dimension, Refusal> {
    given.first().copied().ok_or_else(|| Refusal::new(0, "a value is missing"))
}

/// Takes one bare number and gives what `result` says.
pub(super) fn from_number(given: &[Dimension], result: Dimension) -> Result<Dimension, Refusal> {
    match first(given)? {
        Dimension::NONE => Ok(result),
        other => {
            let name = other.name();
            Err(Refusal::new(0, format!("a plain number or a ratio belongs here, not {name}")))
        }
    }
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
