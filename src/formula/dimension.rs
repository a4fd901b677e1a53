//! Checking, before the run, that a formula adds only like to like.

use std::ops::Range;

use super::error::described;
use super::function::{Function, Refusal};
use super::tree::{Kind, Node, Operator};
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
        Check { known, of }.node(&self.root)
    }
}

struct Check<'a, Of> {
    known: &'a [String],
    of: &'a Of,
}

impl<Of: Fn(&str) -> Option<Dimension>> Check<'_, Of> {
    fn node(&self, node: &Node) -> Result<Dimension, FormulaError> {
        match &node.kind {
            Kind::Literal(quantity) => Ok(quantity.dimension),
            Kind::Name(name) => (self.of)(name).ok_or_else(|| unknown(&node.at, name, self.known)),
            Kind::Negation(operand) => {
                let dimension = self.node(operand)?;
                // A minus is a product with -1.
                let product = Dimension::NONE.times(dimension);
                product.ok_or_else(|| refuse(&node.at, dimension, "can't be negated"))
            }
            Kind::Power { base, exponent } => {
                let dimension = self.node(base)?;
                let message = format!("can't be raised to the power {exponent}");
                dimension.power(*exponent).ok_or_else(|| refuse(&base.at, dimension, &message))
            }
            Kind::Operation { operator, sign, left, right } => {
                let (left, right) = (self.node(left)?, self.node(right)?);
                combined(*operator, left, right).ok_or_else(|| misfit(*operator, sign, left, right))
            }
            Kind::Call { function, arguments } => self.call(function, arguments, &node.at),
        }
    }

    fn call(
        &self,
        function: &Function,
        arguments: &[Node],
        at: &Range<usize>,
    ) -> Result<Dimension, FormulaError> {
        let given = arguments.iter().map(|argument| self.node(argument));
        let given = given.collect::<Result<Vec<_>, _>>()?;
        (function.dimension)(&given).map_err(|refusal| refused(refusal, arguments, at))
    }
}

/// Turns a function's refusal into an error at the argument it is about.
pub(super) fn refused(refusal: Refusal, arguments: &[Node], call: &Range<usize>) -> FormulaError {
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
