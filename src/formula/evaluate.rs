//! Working a formula out, with its uncertainty.

use super::dimension::{
    of_call, of_condition, of_negation, of_operation, of_power, refused, unknown,
};
use super::function::{Function, Takes};
use super::number::Number;
use super::operator::Operator;
use super::problem::Problem;
use super::sampled::Curve;
use super::tree::{Condition, Node, NodeKind};
use super::{Formula, FormulaError};
use crate::quantity::{Dimension, Estimate, Quantity, Spread, Terms};

impl Formula {
    /// Works the formula out, given the readings behind each name.
    ///
    /// A formula that is one number or one name gives it back exactly; everything else is binary
    /// arithmetic in base units, rounded to 12 digits. Errors where [`Formula::dimension`] does,
    /// where a name has no reading or several, and where there is no finite result.
    pub fn evaluate(
        &self,
        of: &impl Fn(&str) -> Option<Vec<Quantity>>,
    ) -> Result<Quantity, FormulaError> {
        let exact =
            |name: &str| Some(of(name)?.into_iter().map(Estimate::exact).collect::<Vec<_>>());
        Ok(self.straight(&exact)?.value)
    }

    /// Works the formula out with its uncertainty, given the estimates behind each name.
    ///
    /// The uncertainty is carried to first order, each input with its sign (GUM 5.1.2 and 5.2.2),
    /// so what two names share stays shared. Where the formula is not as good as straight over the reach of its inputs, as
    /// 1/x of a coarse reading, a square at 0 or the edge of a choice, the inputs are drawn instead
    /// (JCGM 101:2008): the terms are made as wide as what comes out, and the draws go with them.
    /// Errors as [`Formula::evaluate`], and where the uncertainty is not finite, as of a root at 0.
    pub fn estimate(
        &self,
        of: &impl Fn(&str) -> Option<Vec<Estimate>>,
    ) -> Result<Estimate, FormulaError> {
        let straight = self.straight(of)?;
        Ok(Curve::of(self, of, &straight).estimate())
    }

    /// The value, with its uncertainty carried to first order.
    pub(super) fn straight(
        &self,
        of: &impl Fn(&str) -> Option<Vec<Estimate>>,
    ) -> Result<Estimate, FormulaError> {
        let number = Evaluation { of }.node(&self.root)?;
        let value = number.quantity().ok_or_else(|| out_of_range(&self.root))?;
        Ok(Estimate { value, terms: number.terms, spread: Spread::ByTerms })
    }
}

struct Evaluation<'a, Of> {
    of: &'a Of,
}

impl<Of: Fn(&str) -> Option<Vec<Estimate>>> Evaluation<'_, Of> {
    /// Works out one node as a finite number in base units.
    ///
    /// A long sum leans to the left, so its left ends are walked down in a loop: recursion is only
    /// as deep as parentheses are.
    fn node(&self, node: &Node) -> Result<Number, FormulaError> {
        let mut waiting = Vec::new();
        let mut lowest = node;
        while let NodeKind::Operation { operator, sign, left, right } = &lowest.kind {
            waiting.push((lowest, *operator, sign, right));
            lowest = left;
        }
        let mut number = finite(self.operand(lowest)?, lowest)?;
        while let Some((node, operator, sign, right)) = waiting.pop() {
            let by = self.node(right)?;
            let dimension = of_operation(operator, sign, number.dimension, by.dimension)?;
            if operator == Operator::Divide && by.value == 0.0 {
                return Err(divides_by_zero(right));
            }
            number = finite(operation(operator, &number, &by, dimension), node)?;
        }
        Ok(number)
    }

    /// Works out what is no operation.
    fn operand(&self, node: &Node) -> Result<Number, FormulaError> {
        match &node.kind {
            NodeKind::Literal(quantity) => Ok(Estimate::exact(*quantity).into()),
            NodeKind::Name(name) => self.single(name, node),
            NodeKind::Negation(operand) => {
                let number = self.node(operand)?;
                let dimension = of_negation(number.dimension, &node.at)?;
                let terms = Terms::linear([(-1.0, &number.terms)]);
                Ok(Number::computed(-number.value, dimension, terms))
            }
            NodeKind::Power { base, exponent } => {
                let number = self.node(base)?;
                let dimension = of_power(number.dimension, *exponent, &base.at)?;
                if number.value == 0.0 && *exponent < 0 {
                    return Err(divides_by_zero(base));
                }
                Ok(power(&number, *exponent, dimension))
            }
            NodeKind::Operation { .. } => self.node(node),
            NodeKind::Call { function, arguments } => self.call(function, arguments, node),
            NodeKind::Choice { condition, then, otherwise } => {
                self.node(if self.holds(condition)? { then } else { otherwise })
            }
        }
    }

    fn holds(&self, condition: &Condition) -> Result<bool, FormulaError> {
        let (left, right) = (self.node(&condition.left)?, self.node(&condition.right)?);
        of_condition(left.dimension, right.dimension, &condition.sign)?;
        let order = left.compare(&right).ok_or_else(|| out_of_range(&condition.left))?;
        Ok(condition.comparison.holds(order))
    }

    fn call(
        &self,
        function: &Function,
        arguments: &[Node],
        node: &Node,
    ) -> Result<Number, FormulaError> {
        let given = self.given(function, arguments)?;
        let dimensions: Vec<Dimension> = given.iter().map(|number| number.dimension).collect();
        let dimension = of_call(function, &dimensions, arguments, &node.at)?;
        let worked_out = function.work.apply(&given);
        let (value, terms) = worked_out.map_err(|refusal| refused(refusal, arguments, &node.at))?;
        Ok(Number::computed(value, dimension, terms))
    }

    /// The values a function is called with; a name alone stands for all its readings where the
    /// function takes any number of them.
    fn given(&self, function: &Function, arguments: &[Node]) -> Result<Vec<Number>, FormulaError> {
        match (function.takes, arguments) {
            (Takes::OneOrMore, [argument @ Node { kind: NodeKind::Name(name), .. }]) => {
                self.readings(name, argument)
            }
            _ => arguments.iter().map(|argument| self.node(argument)).collect(),
        }
    }

    fn readings(&self, name: &str, node: &Node) -> Result<Vec<Number>, FormulaError> {
        let readings = (self.of)(name).ok_or_else(|| unknown(&node.at, name, &[]))?;
        let Some(first) = readings.first() else {
            return Err(FormulaError::new(&node.at, Problem::NoReading { name: name.to_owned() }));
        };
        let dimension = first.value.dimension;
        if readings.iter().any(|reading| reading.value.dimension != dimension) {
            let problem = Problem::MixedReadings { name: name.to_owned() };
            return Err(FormulaError::new(&node.at, problem));
        }
        Ok(readings.into_iter().map(Number::from).collect())
    }

    fn single(&self, name: &str, node: &Node) -> Result<Number, FormulaError> {
        let mut readings = self.readings(name, node)?;
        let count = readings.len();
        match readings.pop() {
            Some(reading) if count == 1 => Ok(reading),
            _ => {
                let problem = Problem::SeveralReadings { name: name.to_owned(), count };
                Err(FormulaError::new(&node.at, problem))
            }
        }
    }
}

fn finite(number: Number, node: &Node) -> Result<Number, FormulaError> {
    if !number.value.is_finite() {
        return Err(out_of_range(node));
    }
    if !number.terms.is_finite() {
        return Err(FormulaError::new(&node.at, Problem::UncertaintyNotFinite));
    }
    Ok(number)
}

fn power(base: &Number, exponent: i8, dimension: Dimension) -> Number {
    let exponent = i32::from(exponent);
    let slope = f64::from(exponent) * base.value.powi(exponent - 1);
    let terms = Terms::linear([(slope, &base.terms)]);
    Number::computed(base.value.powi(exponent), dimension, terms)
}

fn operation(operator: Operator, left: &Number, right: &Number, dimension: Dimension) -> Number {
    let (a, b) = (left.value, right.value);
    let (value, slopes) = match operator {
        Operator::Add => (a + b, [1.0, 1.0]),
        Operator::Subtract => (a - b, [1.0, -1.0]),
        Operator::Multiply => (a * b, [b, a]),
        Operator::Divide => (a / b, [1.0 / b, -a / b / b]),
    };
    let terms = Terms::linear(slopes.into_iter().zip([&left.terms, &right.terms]));
    Number::computed(value, dimension, terms)
}

fn divides_by_zero(node: &Node) -> FormulaError {
    FormulaError::new(&node.at, Problem::DividesByZero)
}

fn out_of_range(node: &Node) -> FormulaError {
    FormulaError::new(&node.at, Problem::NotFinite)
}
