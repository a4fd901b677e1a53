//! Working a formula out.

use std::collections::BTreeMap;

use super::dimension::{refused, unknown};
use super::function::{Function, Takes};
use super::tree::{Kind, Node, Operator};
use super::{Formula, FormulaError};
use crate::quantity::Quantity;

/// What every name in a formula stands for.
type Values<'f> = BTreeMap<&'f str, Vec<Quantity>>;

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
        let values = self.look_up(of)?;
        let first = |name: &str| values.get(name)?.first().map(|quantity| quantity.dimension);
        let dimension = self.dimension(&first)?;
        match &self.root.kind {
            Kind::Literal(quantity) => Ok(*quantity),
            Kind::Name(name) => single(&values, name, &self.root),
            _ => {
                let number = number(&values, &self.root)?;
                let result = Quantity::from_f64(number, dimension);
                result.ok_or_else(|| out_of_range(&self.root))
            }
        }
    }

    fn look_up(
        &self,
        of: &impl Fn(&str) -> Option<Vec<Quantity>>,
    ) -> Result<Values<'_>, FormulaError> {
        let mut values = Values::new();
        for (name, at) in self.names() {
            let readings = of(name).ok_or_else(|| unknown(&at, name, &[]))?;
            let Some(first) = readings.first() else {
                return Err(FormulaError::new(&at, format!("`{name}` has no reading yet")));
            };
            if readings.iter().any(|reading| reading.dimension != first.dimension) {
                let message = format!("the readings of `{name}` measure different things");
                return Err(FormulaError::new(&at, message));
            }
            values.insert(name, readings);
        }
        Ok(values)
    }
}

/// Works out one node as a finite number in base units.
fn number(values: &Values<'_>, node: &Node) -> Result<f64, FormulaError> {
    let number = match &node.kind {
        Kind::Literal(quantity) => quantity.to_f64(),
        Kind::Name(name) => single(values, name, node)?.to_f64(),
        Kind::Negation(operand) => -number(values, operand)?,
        Kind::Power { base, exponent } => {
            let value = number(values, base)?;
            if value == 0.0 && *exponent < 0 {
                return Err(divides_by_zero(base));
            }
            value.powi(i32::from(*exponent))
        }
        Kind::Operation { operator, left, right, .. } => {
            let (value, by) = (number(values, left)?, number(values, right)?);
            match operator {
                Operator::Add => value + by,
                Operator::Subtract => value - by,
                Operator::Multiply => value * by,
                Operator::Divide if by == 0.0 => return Err(divides_by_zero(right)),
                Operator::Divide => value / by,
            }
        }
        Kind::Call { function, arguments } => {
            let given = given(values, function, arguments)?;
            let result = (function.value)(&given);
            result.map_err(|refusal| refused(refusal, arguments, &node.at))?
        }
    };
    if number.is_finite() { Ok(number) } else { Err(out_of_range(node)) }
}

/// The values a function is called with; a name alone stands for all its readings where the
/// function takes any number of them.
fn given(
    values: &Values<'_>,
    function: &Function,
    arguments: &[Node],
) -> Result<Vec<f64>, FormulaError> {
    if let (Takes::OneOrMore, [Node { kind: Kind::Name(name), .. }]) = (function.takes, arguments) {
        let readings = values.get(name.as_str()).map(Vec::as_slice).unwrap_or_default();
        return Ok(readings.iter().map(Quantity::to_f64).collect());
    }
    arguments.iter().map(|argument| number(values, argument)).collect()
}

fn single(values: &Values<'_>, name: &str, node: &Node) -> Result<Quantity, FormulaError> {
    match values.get(name).map(Vec::as_slice).unwrap_or_default() {
        [reading] => Ok(*reading),
        readings => {
            let message = format!("`{name}` stands for {} readings here", readings.len());
            let error = FormulaError::new(&node.at, message);
            Err(error.help(format!("name one of them, or write `max({name})` or `min({name})`")))
        }
    }
}

fn divides_by_zero(node: &Node) -> FormulaError {
    FormulaError::new(&node.at, "this is zero, and nothing can be divided by zero")
}

fn out_of_range(node: &Node) -> FormulaError {
    FormulaError::new(&node.at, "this gives no finite number")
}
