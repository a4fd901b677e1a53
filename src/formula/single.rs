//! Functions of one number.

use super::function::{ArgumentRefusal, Function, FunctionValue, Takes, first, from_number, lacks};
use super::problem::{Lacking, Problem};
use crate::quantity::Dimension;

const VALUE: Takes = Takes::These(&["value"]);

pub(super) const ABS: Function = Function {
    name: "abs",
    takes: VALUE,
    dimension: of_a_size,
    work: FunctionValue::Single { value: |x| Ok(x.abs()), slope: f64::signum },
};

pub(super) const EXP: Function = Function {
    name: "exp",
    takes: VALUE,
    dimension: |given| from_number(given, Dimension::NONE),
    work: FunctionValue::Single { value: |x| Ok(x.exp()), slope: f64::exp },
};

pub(super) const LN: Function = Function {
    name: "ln",
    takes: VALUE,
    dimension: |given| from_number(given, Dimension::NONE),
    work: FunctionValue::Single { value: |x| Ok(above_zero(x)?.ln()), slope: |x| 1.0 / x },
};

pub(super) const LOG10: Function = Function {
    name: "log10",
    takes: VALUE,
    dimension: |given| from_number(given, Dimension::NONE),
    work: FunctionValue::Single {
        value: |x| Ok(above_zero(x)?.log10()),
        slope: |x| 1.0 / x / std::f64::consts::LN_10,
    },
};

pub(super) const SQRT: Function = Function {
    name: "sqrt",
    takes: VALUE,
    dimension: root,
    work: FunctionValue::Single { value: square_root, slope: |x| 0.5 / x.sqrt() },
};

/// Lets through what has a logarithm.
pub(super) fn above_zero(x: f64) -> Result<f64, Problem> {
    if x > 0.0 { Ok(x) } else { Err(Problem::NoLogarithm) }
}

fn square_root(x: f64) -> Result<f64, Problem> {
    if x < 0.0 { Err(Problem::NoSquareRoot) } else { Ok(x.sqrt()) }
}

fn of_a_size(given: &[Dimension]) -> Result<Dimension, ArgumentRefusal> {
    match first(given)? {
        Dimension::CELSIUS => Err(lacks(Dimension::CELSIUS, Lacking::Size)),
        dimension => Ok(dimension),
    }
}

fn root(given: &[Dimension]) -> Result<Dimension, ArgumentRefusal> {
    let dimension = first(given)?;
    dimension.root().ok_or_else(|| lacks(dimension, Lacking::SquareRoot))
}
