//! What a function is that a formula can call.

use super::problem::{CallProblem, DimensionProblem, Lacking, Problem, WordKind};
use crate::quantity::{Dimension, Quantity};

/// A function: what it is called with, and how its dimension and its value follow.
#[derive(Debug)]
pub(super) struct Function {
    pub(super) name: &'static str,
    pub(super) takes: Takes,
    /// Is given one dimension for every argument.
    pub(super) dimension: fn(&[Dimension]) -> Result<Dimension, ArgumentRefusal>,
    pub(super) work: FunctionValue,
}

/// What a function is called with.
#[derive(Debug, Clone, Copy)]
pub(super) enum Takes {
    /// Exactly these, in this order or by name.
    These(&'static [&'static str]),
    /// Likewise; in the place of the first of them stand words of these lists.
    WordsThen { words: &'static [WordList], names: &'static [&'static str] },
    /// One value or more, or all readings of one name.
    OneOrMore,
}

/// A list of words.
#[derive(Debug, Clone, Copy)]
pub(super) struct WordList {
    /// What each of them names.
    pub(super) kind: WordKind,
    /// The fact that may stand for one of them.
    pub(super) fact: Option<&'static str>,
    /// All of them, each with whether the function has something for it.
    pub(super) list: fn() -> Vec<(&'static str, bool)>,
}

/// How a function is worked out, in base units where it takes bare numbers.
#[derive(Debug, Clone, Copy)]
pub(super) enum FunctionValue {
    /// Of one number: its value, and how steeply that follows the number.
    Single { value: fn(f64) -> Result<f64, Problem>, slope: fn(f64) -> f64 },
    /// Of any number of numbers: its value, and how steeply that follows each of them.
    List { value: fn(&[f64]) -> Result<f64, Problem>, slopes: fn(&[f64]) -> Vec<f64> },
    /// Of quantities; how steeply it follows each of them is found by trying.
    Physics(fn(&[Quantity]) -> Result<Quantity, Problem>),
}

/// Why a function does not take what it was given.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ArgumentRefusal {
    /// The argument it is about, counted from 0.
    pub(super) argument: usize,
    pub(super) problem: Problem,
}

impl Function {
    /// The list of words of which one stands in this argument's place; none for a value.
    pub(super) fn words(
        &self,
        argument: Option<&str>,
        position: usize,
    ) -> Option<&'static WordList> {
        let Takes::WordsThen { words, names } = self.takes else { return None };
        let named = |name: &str| names.iter().position(|known| *known == name);
        words.get(argument.map_or(Some(position), named)?)
    }
}

impl ArgumentRefusal {
    pub(super) fn new(argument: usize, problem: impl Into<Problem>) -> Self {
        Self { argument, problem: problem.into() }
    }

    pub(super) fn of_first(problem: impl Into<Problem>) -> Self {
        Self::new(0, problem)
    }
}

pub(super) fn first(given: &[Dimension]) -> Result<Dimension, ArgumentRefusal> {
    given.first().copied().ok_or_else(|| ArgumentRefusal::of_first(CallProblem::ValueMissing))
}

/// Says that what was given has no such thing.
pub(super) fn lacks(of: Dimension, what: Lacking) -> ArgumentRefusal {
    ArgumentRefusal::of_first(DimensionProblem::Lacks { of, what })
}

/// Takes one bare number and gives what `result` says.
pub(super) fn from_number(
    given: &[Dimension],
    result: Dimension,
) -> Result<Dimension, ArgumentRefusal> {
    match first(given)? {
        Dimension::NONE => Ok(result),
        found => Err(ArgumentRefusal::of_first(DimensionProblem::NotANumber { found })),
    }
}
