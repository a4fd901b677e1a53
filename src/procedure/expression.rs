//! A quantity or a formula as written in a procedure.

use std::ops::Range;

use serde::{Deserialize, Deserializer};

use super::At;
use crate::diagnostic::Span;
use crate::formula::{Formula, FormulaError};
use crate::quantity::{Estimate, Quantity};

/// A quantity (`2 V`) or a formula (`0.6 * rail`), parsed once when the file is read.
#[derive(Clone, Debug)]
pub struct Expression {
    /// What was written, and where.
    pub text: At<String>,
    formula: Result<Formula, FormulaError>,
}

impl Expression {
    /// The parsed formula.
    ///
    /// # Errors
    /// What is wrong with it, with the place inside its text.
    pub fn formula(&self) -> Result<&Formula, &FormulaError> {
        self.formula.as_ref()
    }

    /// Works the value out.
    ///
    /// # Errors
    /// A formula that does not parse, an unknown name, a dimension that does not fit, or no finite result.
    pub fn evaluate(&self, values: &ValueLookup<'_>) -> Result<Quantity, FormulaError> {
        let formula = self.formula.as_ref().map_err(Clone::clone)?;
        formula.evaluate(&|name: &str| values(name))
    }

    /// Works the value out with its uncertainty.
    ///
    /// # Errors
    /// As [`Expression::evaluate`], and where the uncertainty is not finite.
    pub fn estimate(&self, estimates: &Estimates<'_>) -> Result<Estimate, FormulaError> {
        let formula = self.formula.as_ref().map_err(Clone::clone)?;
        formula.estimate(&|name: &str| estimates(name))
    }

    /// The place in the file of a range of bytes inside the expression's text.
    ///
    /// Where the file writes the text with escapes or over several lines, it is the place of the whole text.
    #[must_use]
    pub fn place(&self, at: &Range<usize>) -> Span {
        let whole = self.text.span;
        let written = whole.end.saturating_sub(whole.start);
        let opening = match written.checked_sub(self.text.len()) {
            Some(0) => 0,
            // Two bytes more than the text: a quote on either side.
            Some(2) => 1,
            _ => return whole,
        };
        let start = whole.start + opening;
        // What is missing at the end of the text is pointed out on its last byte.
        let from = at.start.min(self.text.len().saturating_sub(1));
        Span::new(start + from, start + at.end.clamp(from + 1, self.text.len().max(1)))
    }
}

/// Looks a name up: one value, or several for a reading taken on several parts.
pub type ValueLookup<'a> = dyn Fn(&str) -> Option<Vec<Quantity>> + 'a;

/// Looks a name up with its uncertainty.
pub type Estimates<'a> = dyn Fn(&str) -> Option<Vec<Estimate>> + 'a;

impl<'de> Deserialize<'de> for Expression {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = At::<String>::deserialize(deserializer)?;
        let formula = Formula::parse(&text.value);
        Ok(Self { text, formula })
    }
}

#[cfg(test)]
impl schemars::JsonSchema for Expression {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Expression".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "description": "A quantity (2 V) or a formula (0.6 * rail)",
            "type": ["string", "number"]
        })
    }
}
