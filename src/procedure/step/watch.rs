//! `watch`: a value read again and again for a time.

use serde::Deserialize;

use super::{Gives, Kind, Part};
use crate::formula::FormulaError;
use crate::procedure::act::{Act, Keyed, MeterUse, milliseconds};
use crate::procedure::{Acceptance, At, Expression, Values};
use crate::quantity::{Dimension, Unit};

/// The most readings one watch may ask of a person.
const READINGS_MAX: u64 = 200;

/// A value read at intervals for a time and judged each time; formulas see the last one.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Watch {
    /// What is measured, and where.
    pub what: At<String>,
    /// The unit an answer without one is in.
    pub unit: Unit,
    /// The meter's function, by its name in the bench file.
    pub function: Option<At<String>>,
    /// The time from one reading to the next.
    pub every: Expression,
    /// The time from the first reading to the last.
    pub time: Expression,
    /// The window.
    pub window: Option<Acceptance>,
}

impl Watch {
    /// The time between two readings (ms), and how many times it passes.
    ///
    /// # Errors
    /// A time without a usable value, or fewer than two readings or too many of them.
    pub fn pace(&self, values: &Values<'_>) -> Result<(u64, u64), FormulaError> {
        let every = milliseconds(&self.every.evaluate(values)?)?;
        let time = milliseconds(&self.time.evaluate(values)?)?;
        let waits = time.checked_div(every).filter(|n| (1..READINGS_MAX).contains(n));
        Ok((every, waits.ok_or_else(unpaced)?))
    }
}

fn unpaced() -> FormulaError {
    FormulaError {
        at: 0..0,
        message: format!("a watch takes 2 to {READINGS_MAX} readings"),
        help: Some("change `every` or `time`".to_owned()),
    }
}

impl Kind for Watch {
    fn name(&self) -> &'static str {
        "watch"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Part<'a>)) {
        visit(Part::Text(&self.what));
        if let Some(function) = &self.function {
            visit(Part::Text(function));
        }
        for expression in [&self.every, &self.time] {
            visit(Part::Quantity { expression, dimension: Dimension::TIME });
        }
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
        let (every, waits) = self.pace(values)?;
        let bounds = self.window.clone().unwrap_or_default().bounds(values)?;
        let read = Act::Read {
            what: self.what.value.clone(),
            unit: self.unit.clone(),
            bounds,
            meter: self.function.as_ref().map(|function| MeterUse {
                function: function.value.clone(),
                source_resistance: None,
            }),
        };
        let wait = Act::Wait { ms: every, what: "Until the next reading".to_owned() };
        let mut acts = vec![Keyed { suffix: "1".to_owned(), act: read.clone() }];
        for n in 2..=waits + 1 {
            acts.push(Keyed { suffix: format!("wait-{n}"), act: wait.clone() });
            acts.push(Keyed { suffix: n.to_string(), act: read.clone() });
        }
        Ok(acts)
    }
}
