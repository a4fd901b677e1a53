//! The functions a formula can call.

use super::error::described;
use crate::quantity::Dimension;

/// A function: what it is called with, and how its dimension and its value follow.
#[derive(Debug)]
pub(super) struct Function {
    pub(super) name: &'static str,
    pub(super) takes: Takes,
    /// Is given one dimension for every argument.
    pub(super) dimension: fn(&[Dimension]) -> Result<Dimension, Refusal>,
    /// Is given the values in base units, at least one of them.
    pub(super) value: fn(&[f64]) -> Result<f64, Refusal>,
}

/// What a function is called with.
#[derive(Debug, Clone, Copy)]
pub(super) enum Takes {
    /// Exactly these, in this order or by name.
    These(&'static [&'static str]),
    /// One value or more, or all readings of one name.
    OneOrMore,
}

/// Why a function does not take what it was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Refusal {
    /// The argument it is about, counted from 0.
    pub(super) argument: usize,
    pub(super) message: String,
}

/// Every function there is.
pub(super) static FUNCTIONS: [Function; 4] = [
    Function { name: "abs", takes: ONE, dimension: of_a_size, value: |of| first(of).map(f64::abs) },
    Function { name: "max", takes: Takes::OneOrMore, dimension: alike, value: largest },
    Function { name: "min", takes: Takes::OneOrMore, dimension: alike, value: smallest },
    Function { name: "sqrt", takes: ONE, dimension: root, value: square_root },
];

const ONE: Takes = Takes::These(&["value"]);

impl Function {
    pub(super) fn named(name: &str) -> Option<&'static Function> {
        FUNCTIONS.iter().find(|function| function.name == name)
    }
}

impl Refusal {
    fn new(argument: usize, message: impl Into<String>) -> Self {
        Self { argument, message: message.into() }
    }
}

fn alike(given: &[Dimension]) -> Result<Dimension, Refusal> {
    let first = first(given)?;
    match given.iter().enumerate().find(|(_, dimension)| **dimension != first) {
        None => Ok(first),
        Some((place, odd)) => {
            let message = format!("{} and {} can't be compared", described(first), described(*odd));
            Err(Refusal::new(place, message))
        }
    }
}

fn of_a_size(given: &[Dimension]) -> Result<Dimension, Refusal> {
    match first(given)? {
        Dimension::CELSIUS => Err(Refusal::new(
            0,
            "a Celsius temperature has no size of its own; subtract another temperature first",
        )),
        dimension => Ok(dimension),
    }
}

fn root(given: &[Dimension]) -> Result<Dimension, Refusal> {
    let dimension = first(given)?;
    let none = || Refusal::new(0, format!("{} has no square root", described(dimension)));
    dimension.root().ok_or_else(none)
}

fn largest(given: &[f64]) -> Result<f64, Refusal> {
    let first = first(given)?;
    Ok(given.iter().copied().fold(first, f64::max))
}

fn smallest(given: &[f64]) -> Result<f64, Refusal> {
    let first = first(given)?;
    Ok(given.iter().copied().fold(first, f64::min))
}

fn square_root(given: &[f64]) -> Result<f64, Refusal> {
    match first(given)? {
        value if value < 0.0 => Err(Refusal::new(0, "a negative number has no square root")),
        value => Ok(value.sqrt()),
    }
}

fn first<T: Copy>(given: &[T]) -> Result<T, Refusal> {
    given.first().copied().ok_or_else(|| Refusal::new(0, "a value is missing"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_sorted_by_name() {
        assert!(FUNCTIONS.is_sorted_by(|left, right| left.name < right.name));
    }
}
