//! `read`: a value to read and judge.

use serde::Deserialize;

use super::{Gives, Kind, Piece, only};
use crate::procedure::act::{Act, Keyed, MeterUse, Way};
use crate::procedure::{Acceptance, At, Expression, Point, ValueLookup};
use crate::quantity::{Dimension, Unit};
use crate::record::Unworkable;
use crate::window::Sign;

/// A value to read on a meter and judge against its window.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Read {
    /// What is measured, and where the probes go.
    pub what: At<String>,
    /// The unit an answer without one is in.
    pub unit: Unit,
    /// The meter's function, by its name in the bench file: what the meter promises enters the verdict.
    pub function: Option<At<String>>,
    /// Where a connected instrument reads it: an output of a supply, such as `plus.current`.
    pub from: Option<At<String>>,
    /// The resistance of what is measured, which the meter loads.
    pub source_resistance: Option<Expression>,
    /// The part is measured where it is soldered in: too high is a certain fault, too low is not conclusive.
    pub in_circuit: Option<At<bool>>,
    /// The window.
    pub window: Option<Acceptance>,
}

impl Read {
    /// Where an instrument can read it: at an output, or with the probes of a meter.
    #[must_use]
    pub fn point(&self) -> Option<Point> {
        self.from.as_ref().or(self.function.as_ref()).map(|text| Point::parse(text))
    }

    /// Tells whether the part is measured with others beside it.
    #[must_use]
    pub fn is_in_circuit(&self) -> bool {
        self.in_circuit.as_ref().is_some_and(|in_circuit| in_circuit.value)
    }

    fn meter(&self, values: &ValueLookup<'_>) -> Result<Option<MeterUse>, Unworkable> {
        let Some(function) = &self.function else { return Ok(None) };
        let source_resistance = self
            .source_resistance
            .as_ref()
            .map(|expression| expression.evaluate(values))
            .transpose()?;
        Ok(Some(MeterUse { function: function.value.clone(), source_resistance }))
    }
}

impl Kind for Read {
    fn name(&self) -> &'static str {
        "read"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>)) {
        visit(Piece::Text(&self.what));
        for text in [&self.function, &self.from].into_iter().flatten() {
            visit(Piece::Text(text));
        }
        if let Some(expression) = &self.source_resistance {
            let (key, dimension) = ("source_resistance", Dimension::RESISTANCE);
            visit(Piece::Quantity { key, expression, dimension });
        }
        if let Some(window) = &self.window {
            window.visit(self.unit.dimension(), visit);
        }
    }

    fn gives(&self) -> Option<Gives<'_>> {
        Some(Gives::Reading(&self.unit))
    }

    fn unit(&self) -> Option<&Unit> {
        Some(&self.unit)
    }

    fn is_judged(&self) -> Option<bool> {
        Some(self.window.is_some())
    }

    fn window(&self) -> Option<&Acceptance> {
        self.window.as_ref()
    }

    fn sign(&self) -> Sign {
        self.point().map(|point| point.sign()).unwrap_or_default()
    }

    fn is_hands_on(&self) -> bool {
        true
    }

    fn acts(&self, values: &ValueLookup<'_>) -> Result<Vec<Keyed>, Unworkable> {
        let window = self.window.clone().unwrap_or_default();
        Ok(only(Act::Read {
            what: self.what.value.clone(),
            unit: self.unit.clone(),
            bounds: window.bounds(values)?.with_sign(self.sign()),
            meter: self.meter(values)?,
            way: self.point().map(Way::At),
        }))
    }
}
