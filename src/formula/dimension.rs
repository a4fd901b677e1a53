//! Checking, before the run, that a formula adds only like to like.

use std::ops::Range;

use super::function::{ArgumentRefusal, Function};
use super::operator::Operator;
use super::problem::{DimensionProblem, Problem};
use super::tree::{Node, NodeKind};
use super::{Formula, FormulaError};
use crate::diagnostic::nearest;
use crate::quantity::Dimension;

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
                if then == other {
                    return Ok(then);
                }
                let problem = DimensionProblem::Uneven { then, otherwise: other };
                Err(FormulaError::new(&otherwise.at, problem))
            }
        }
    }
}

/// A minus is a product with -1.
pub(super) fn of_negation(of: Dimension, at: &Range<usize>) -> Result<Dimension, FormulaError> {
    let negated = Dimension::NONE.times(of);
    negated.ok_or_else(|| FormulaError::new(at, DimensionProblem::NotNegated { of }))
}

pub(super) fn of_power(
    base: Dimension,
    exponent: i8,
    at: &Range<usize>,
) -> Result<Dimension, FormulaError> {
    let problem = DimensionProblem::NotRaised { of: base, exponent };
    base.power(exponent).ok_or_else(|| FormulaError::new(at, problem))
}

pub(super) fn of_operation(
    operator: Operator,
    sign: &Range<usize>,
    left: Dimension,
    right: Dimension,
) -> Result<Dimension, FormulaError> {
    let combined = match operator {
        Operator::Add => left.plus(right),
        Operator::Subtract => left.minus(right),
        Operator::Multiply => left.times(right),
        Operator::Divide => left.over(right),
    };
    let problem = DimensionProblem::NotCombined { operator, left, right };
    combined.ok_or_else(|| FormulaError::new(sign, problem))
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
    Err(FormulaError::new(sign, DimensionProblem::NotCompared { left, right }))
}

/// Turns a function's refusal into an error at the argument it is about.
pub(super) fn refused(
    refusal: ArgumentRefusal,
    arguments: &[Node],
    call: &Range<usize>,
) -> FormulaError {
    let at = arguments.get(refusal.argument).map_or(call, |argument| &argument.at);
    FormulaError::new(at, refusal.problem)
}

/// Says that a name is not known.
pub(super) fn unknown(at: &Range<usize>, name: &str, known: &[String]) -> FormulaError {
    let meant = nearest(name, known.iter().map(String::as_str)).map(str::to_owned);
    FormulaError::new(at, Problem::Unknown { name: name.to_owned(), meant })
}
