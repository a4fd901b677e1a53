//! Checking, before the run, that a formula adds only like to like.

use std::ops::Range;

use super::error::described;
use super::function::{ArgumentRefusal, Function};
use super::tree::{Node, NodeKind, Operator};
use super::{Formula, FormulaError};
use crate::diagnostic::nearest;
use crate::quantity::{Dimension, Unit};

impl Formula {
    /// Tells what the formula's result measures, given what each name measures.
    ///
    /// Errors point at a name that `of` does not know, or at the sign or the value that does not fit.
    pub fn dimension(
        &self,
        of: &impl Fn(&str) -> Option<Dimension>,
    ) -> Result<Dimension, FormulaError> {
        self.dimension_among(&[], of)
    }

    /// Does what [`Formula::dimension`] does, and for an unknown name offers the nearest of `known`.
    pub fn dimension_among(
        &self,
        known: &[String],
        of: &impl Fn(&str) -> Option<Dimension>,
    ) -> Result<Dimension, FormulaError> {
        DimensionCheck { known, of }.node(&self.root)
    }
}

struct DimensionCheck<'a, Of> {
    known: &'a [String],
    of: &'a Of,
}

impl<Of: Fn(&str) -> Option<Dimension>> DimensionCheck<'_, Of> {
    fn node(&self, node: &Node) -> Result<Dimension, FormulaError> {
        match &node.kind {
            NodeKind::Literal(quantity) => Ok(quantity.dimension),
            NodeKind::Name(name) => {
                (self.of)(name).ok_or_else(|| unknown(&node.at, name, self.known))
            }
            NodeKind::Negation(operand) => of_negation(self.node(operand)?, &node.at),
            NodeKind::Power { base, exponent } => of_power(self.node(base)?, *exponent, &base.at),
            NodeKind::Operation { operator, sign, left, right } => {
                of_operation(*operator, sign, self.node(left)?, self.node(right)?)
            }
            NodeKind::Call { function, arguments } => {
                let given = arguments.iter().map(|argument| self.node(argument));
                let given = given.collect::<Result<Vec<_>, _>>()?;
                of_call(function, &given, arguments, &node.at)
            }
            NodeKind::Choice { condition, then, otherwise } => {
                let (left, right) = (self.node(&condition.left)?, self.node(&condition.right)?);
                of_condition(left, right, &condition.sign)?;
                let (then, other) = (self.node(then)?, self.node(otherwise)?);
                if then == other { Ok(then) } else { Err(uneven(then, other, &otherwise.at)) }
            }
        }
    }
}

/// A minus is a product with -1.
pub(super) fn of_negation(of: Dimension, at: &Range<usize>) -> Result<Dimension, FormulaError> {
    Dimension::NONE.times(of).ok_or_else(|| refuse(at, of, "can't be negated"))
}

pub(super) fn of_power(
    base: Dimension,
    exponent: i8,
    at: &Range<usize>,
) -> Result<Dimension, FormulaError> {
    let message = format!("can't be raised to the power {exponent}");
    base.power(exponent).ok_or_else(|| refuse(at, base, &message))
}

pub(super) fn of_operation(
    operator: Operator,
    sign: &Range<usize>,
    left: Dimension,
    right: Dimension,
) -> Result<Dimension, FormulaError> {
    combined(operator, left, right).ok_or_else(|| misfit(operator, sign, left, right))
}

pub(super) fn of_call(
    function: &Function,
    given: &[Dimension],
    arguments: &[Node],
    call: &Range<usize>,
) -> Result<Dimension, FormulaError> {
    (function.dimension)(given).map_err(|refusal| refused(refusal, arguments, call))
}

/// Only like is compared with like.
pub(super) fn of_condition(
    left: Dimension,
    right: Dimension,
    sign: &Range<usize>,
) -> Result<(), FormulaError> {
    if left == right {
        return Ok(());
    }
    let message = format!("{} and {} can't be compared", described(left), described(right));
    Err(with_help(FormulaError::new(sign, message), &[left, right]))
}

fn uneven(then: Dimension, otherwise: Dimension, at: &Range<usize>) -> FormulaError {
    let (then, otherwise) = (described(then), described(otherwise));
    let message = format!("this is {otherwise}, but after `then` stands {then}");
    FormulaError::new(at, message).help("both values of an `if` measure the same")
}

/// Turns a function's refusal into an error at the argument it is about.
pub(super) fn refused(
    refusal: ArgumentRefusal,
    arguments: &[Node],
    call: &Range<usize>,
) -> FormulaError {
    let at = arguments.get(refusal.argument).map_or(call, |argument| &argument.at);
    FormulaError::new(at, refusal.message)
}

/// Says that a name is not known; a unit standing alone is the likeliest slip.
pub(super) fn unknown(at: &Range<usize>, name: &str, known: &[String]) -> FormulaError {
    let error = FormulaError::new(at, format!("nothing is called `{name}`"));
    match nearest(name, known.iter().map(String::as_str)) {
        None if Unit::parse(name).is_ok() => {
            error.help(format!("a unit stands right after its number, as in `1 {name}`"))
        }
        meant => error.meant(meant),
    }
}

fn combined(operator: Operator, left: Dimension, right: Dimension) -> Option<Dimension> {
    match operator {
        Operator::Add => left.plus(right),
        Operator::Subtract => left.minus(right),
        Operator::Multiply => left.times(right),
        Operator::Divide => left.over(right),
    }
}

fn misfit(
    operator: Operator,
    sign: &Range<usize>,
    left: Dimension,
    right: Dimension,
) -> FormulaError {
    let (left_name, right_name) = (described(left), described(right));
    let message = match operator {
        Operator::Add => format!("{left_name} and {right_name} can't be added"),
        Operator::Subtract => format!("{right_name} can't be subtracted from {left_name}"),
        Operator::Multiply => format!("{left_name} and {right_name} can't be multiplied"),
        Operator::Divide => format!("{left_name} can't be divided by {right_name}"),
    };
    with_help(FormulaError::new(sign, message), &[left, right])
}

fn refuse(at: &Range<usize>, dimension: Dimension, predicate: &str) -> FormulaError {
    let message = format!("{} {predicate}", described(dimension));
    with_help(FormulaError::new(at, message), &[dimension])
}

fn with_help(error: FormulaError, dimensions: &[Dimension]) -> FormulaError {
    if dimensions.contains(&Dimension::CELSIUS) {
        error.help("a Celsius temperature only moves by a difference: write differences in K")
    } else if dimensions.contains(&Dimension::LEVEL) {
        error.help("levels in dB are only added, subtracted and scaled")
    } else if dimensions.contains(&Dimension::NONE) {
        error.help("does the number lack its unit, as in `15 mA`?")
    } else {
        error
    }
}
