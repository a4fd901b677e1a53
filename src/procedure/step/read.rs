//! `read`: a value to read and judge.

use serde::Deserialize;

use super::{Gives, Kind, Part, only};
use crate::formula::FormulaError;
use crate::procedure::act::{Act, Keyed};
use crate::procedure::{Acceptance, At, Values};
use crate::quantity::Unit;

/// A value to read on a meter and judge against its window.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Read {
    /// What is measured, and where the probes go.
    pub what: At<String>,
    /// The unit an answer without one is in.
    pub unit: Unit,
    /// The window.
    pub window: Option<Acceptance>,
}

impl Kind for Read {
    fn name(&self) -> &'static str {
        "read"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Part<'a>)) {
        visit(Part::Text(&self.what));
        if let Some(window) = &self.window {
            window.visit(self.unit.dimension(), visit);
        }
    }

    fn gives(&self) -> Option<Gives<'_>> {
        Some(Gives::Reading(&self.unit))
    }

    fn is_judged(&self) -> Option<bool> {
        Some(self.window.is_some())
    }

    fn is_hands_on(&self) -> bool {
        true
    }

    fn acts(&self, values: &Values<'_>) -> Result<Vec<Keyed>, FormulaError> {
        let window = self.window.clone().unwrap_or_default();
        Ok(only(Act::Read {
            what: self.what.value.clone(),
            unit: self.unit.clone(),
            bounds: window.bounds(values)?,
            named: true,
        }))
    }
}
