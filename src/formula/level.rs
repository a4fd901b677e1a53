//! Ratios to levels in decibels and back.
//!
//! IEC 60027-3 (from memory): 20 lg of a ratio of voltages, 10 lg of a ratio of powers.

use std::f64::consts::LN_10;

use super::function::{ArgumentRefusal, Function, FunctionValue, Takes, first, from_number};
use super::problem::DimensionProblem;
use super::single::above_zero;
use crate::quantity::Dimension;

pub(super) const DB_VOLTAGE: Function = Function {
    name: "db_voltage",
    takes: Takes::These(&["ratio"]),
    dimension: |given| from_number(given, Dimension::LEVEL),
    work: FunctionValue::Single {
        value: |ratio| Ok(20.0 * above_zero(ratio)?.log10()),
        slope: |ratio| 20.0 / LN_10 / ratio,
    },
};

pub(super) const DB_POWER: Function = Function {
    name: "db_power",
    takes: Takes::These(&["ratio"]),
    dimension: |given| from_number(given, Dimension::LEVEL),
    work: FunctionValue::Single {
        value: |ratio| Ok(10.0 * above_zero(ratio)?.log10()),
        slope: |ratio| 10.0 / LN_10 / ratio,
    },
};

pub(super) const VOLTAGE_RATIO: Function = Function {
    name: "voltage_ratio",
    takes: Takes::These(&["level"]),
    dimension: of_a_level,
    work: FunctionValue::Single {
        value: |level| Ok(10_f64.powf(level / 20.0)),
        slope: |level| LN_10 / 20.0 * 10_f64.powf(level / 20.0),
    },
};

pub(super) const POWER_RATIO: Function = Function {
    name: "power_ratio",
    takes: Takes::These(&["level"]),
    dimension: of_a_level,
    work: FunctionValue::Single {
        value: |level| Ok(10_f64.powf(level / 10.0)),
        slope: |level| LN_10 / 10.0 * 10_f64.powf(level / 10.0),
    },
};

fn of_a_level(given: &[Dimension]) -> Result<Dimension, ArgumentRefusal> {
    match first(given)? {
        Dimension::LEVEL => Ok(Dimension::NONE),
        found => Err(ArgumentRefusal::of_first(DimensionProblem::NotALevel { found })),
    }
}
