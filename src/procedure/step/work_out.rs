//! `work_out`: a value worked out from others and judged.

use serde::Deserialize;

use super::{Gives, Kind, Piece, only};
use crate::procedure::act::{Act, Keyed};
use crate::procedure::{Acceptance, At, Expression, ValueLookup};
use crate::quantity::Unit;
use crate::record::Unworkable;
use crate::window::Sign;

/// A value worked out from facts and earlier readings, judged against its window.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct WorkOut {
    /// What the value is.
    pub what: At<String>,
    /// The formula.
    pub value: Expression,
    /// The unit it is shown in.
    pub unit: Unit,
    /// The window.
    pub window: Option<Acceptance>,
}

impl Kind for WorkOut {
    fn name(&self) -> &'static str {
        "work_out"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>)) {
        let dimension = self.unit.dimension();
        visit(Piece::Text(&self.what));
        visit(Piece::Quantity { key: "value", expression: &self.value, dimension });
        if let Some(window) = &self.window {
            window.visit(dimension, visit);
        }
    }

    fn gives(&self) -> Option<Gives<'_>> {
        Some(Gives::Result(&self.value))
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
        // It may be a difference.
        Sign::EitherWay
    }

    fn acts(&self, values: &ValueLookup<'_>) -> Result<Vec<Keyed>, Unworkable> {
        let window = self.window.clone().unwrap_or_default();
        Ok(only(Act::WorkOut {
            what: self.what.value.clone(),
            value: self.value.evaluate(values)?,
            unit: self.unit.clone(),
            bounds: window.bounds(values)?.with_sign(self.sign()),
        }))
    }
}
