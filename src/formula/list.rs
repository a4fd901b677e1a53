//! Functions of any number of like values.

use super::function::{ArgumentRefusal, Function, FunctionValue, Takes, first, lacks};
use super::problem::{DimensionProblem, Lacking, Problem};
use crate::quantity::Dimension;

pub(super) const MAX: Function = Function {
    name: "max",
    takes: Takes::OneOrMore,
    dimension: alike,
    work: FunctionValue::List {
        value: |of| Ok(Extremes::of(of).largest),
        slopes: |of| along(of, &[(Extremes::of(of).largest_at, 1.0)]),
    },
};

pub(super) const MIN: Function = Function {
    name: "min",
    takes: Takes::OneOrMore,
    dimension: alike,
    work: FunctionValue::List {
        value: |of| Ok(Extremes::of(of).smallest),
        slopes: |of| along(of, &[(Extremes::of(of).smallest_at, 1.0)]),
    },
};

pub(super) const MEAN: Function = Function {
    name: "mean",
    takes: Takes::OneOrMore,
    dimension: alike,
    work: FunctionValue::List {
        value: |of| Ok(of.iter().sum::<f64>() / of.len() as f64),
        slopes: |of| vec![1.0 / of.len() as f64; of.len()],
    },
};

/// The largest less the smallest.
pub(super) const SPREAD: Function = Function {
    name: "spread",
    takes: Takes::OneOrMore,
    dimension: difference,
    work: FunctionValue::List {
        value: |of| Ok(Extremes::of(of).largest - Extremes::of(of).smallest),
        slopes: |of| {
            let ends = Extremes::of(of);
            along(of, &[(ends.largest_at, 1.0), (ends.smallest_at, -1.0)])
        },
    },
};

/// The largest over the smallest, by size, so that negative rails have one too.
pub(super) const RATIO_OF_EXTREMES: Function = Function {
    name: "ratio_of_extremes",
    takes: Takes::OneOrMore,
    dimension: ratio,
    work: FunctionValue::List {
        value: |of| {
            let sizes = same_sign(of)?;
            Ok(Extremes::of(&sizes).largest / Extremes::of(&sizes).smallest)
        },
        slopes: |of| {
            let sizes: Vec<f64> = of.iter().map(|value| value.abs()).collect();
            let Extremes { largest, largest_at, smallest, smallest_at } = Extremes::of(&sizes);
            let sign = of.first().copied().unwrap_or(1.0).signum();
            let by_smallest = -sign * largest / smallest / smallest;
            along(of, &[(largest_at, sign / smallest), (smallest_at, by_smallest)])
        },
    },
};

/// The largest and the smallest of some values, and where each stands.
struct Extremes {
    largest: f64,
    largest_at: usize,
    smallest: f64,
    smallest_at: usize,
}

impl Extremes {
    /// Of like values the first counts as the largest and the last as the smallest: two readings,
    /// with two uncertainties.
    fn of(values: &[f64]) -> Extremes {
        let mut found =
            Extremes { largest: f64::NAN, largest_at: 0, smallest: f64::NAN, smallest_at: 0 };
        for (place, &value) in values.iter().enumerate() {
            if found.largest.is_nan() || value > found.largest {
                (found.largest, found.largest_at) = (value, place);
            }
            if found.smallest.is_nan() || value <= found.smallest {
                (found.smallest, found.smallest_at) = (value, place);
            }
        }
        found
    }
}

/// Slopes that are zero but at these places; at one place twice, their sum.
fn along(of: &[f64], at: &[(usize, f64)]) -> Vec<f64> {
    let slope = |place: usize| at.iter().filter(|(index, _)| *index == place).map(|(_, s)| s).sum();
    (0..of.len()).map(slope).collect()
}

/// The sizes of values that are all above zero, or all below.
fn same_sign(of: &[f64]) -> Result<Vec<f64>, Problem> {
    if of.iter().all(|value| *value > 0.0) || of.iter().all(|value| *value < 0.0) {
        return Ok(of.iter().map(|value| value.abs()).collect());
    }
    Err(Problem::MixedSigns)
}

fn alike(given: &[Dimension]) -> Result<Dimension, ArgumentRefusal> {
    let first = first(given)?;
    match given.iter().enumerate().find(|(_, dimension)| **dimension != first) {
        None => Ok(first),
        Some((place, odd)) => {
            let problem = DimensionProblem::NotCompared { left: first, right: *odd };
            Err(ArgumentRefusal::new(place, problem))
        }
    }
}

fn difference(given: &[Dimension]) -> Result<Dimension, ArgumentRefusal> {
    let dimension = alike(given)?;
    dimension.minus(dimension).ok_or_else(|| lacks(dimension, Lacking::Differences))
}

fn ratio(given: &[Dimension]) -> Result<Dimension, ArgumentRefusal> {
    let dimension = alike(given)?;
    dimension.over(dimension).ok_or_else(|| lacks(dimension, Lacking::Ratios))
}
