//! `watch`: a value read again and again for a time.

use serde::Deserialize;

use super::{Gives, Kind, Piece, only};
use crate::procedure::act::{Act, Keyed, MeterUse, Steady, Watching, milliseconds};
use crate::procedure::{Acceptance, At, Expression, Point, ValueLookup};
use crate::quantity::{Dimension, Unit};
use crate::record::Unworkable;
use crate::window::Sign;

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
    /// Where a connected instrument reads it: an output of a supply, such as `plus.current`.
    pub from: Option<At<String>>,
    /// The time from one reading by hand to the next; a connected instrument reads as fast as it can.
    pub every: Expression,
    /// The time from the first reading to the last.
    pub time: Expression,
    /// The window.
    pub window: Option<Acceptance>,
    /// How steady it has to be at the end.
    pub steady: Option<SteadyText>,
}

/// How steady a watched value has to be at its end.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SteadyText {
    /// The most it may drift in a minute, up or down, over the last third.
    pub drift_per_minute: Option<Expression>,
    /// How far any value of the time `over` before the end may be from their mean; needs `over`.
    pub within: Option<Expression>,
    /// For how long before the end.
    pub over: Option<Expression>,
}

impl SteadyText {
    fn visit<'a>(&'a self, dimension: Dimension, visit: &mut dyn FnMut(Piece<'a>)) {
        let parts = [
            ("drift_per_minute", &self.drift_per_minute, dimension),
            ("steady.within", &self.within, dimension),
            ("steady.over", &self.over, Dimension::TIME),
        ];
        for (key, expression, dimension) in parts {
            if let Some(expression) = expression {
                visit(Piece::Quantity { key, expression, dimension });
            }
        }
    }

    fn worked_out(&self, values: &ValueLookup<'_>) -> Result<Steady, Unworkable> {
        let worked = |expression: &Option<Expression>| {
            expression.as_ref().map(|e| e.evaluate(values)).transpose()
        };
        let over = worked(&self.over)?.as_ref().map(milliseconds).transpose()?;
        let settled = worked(&self.within)?.zip(over);
        Ok(Steady { drift_per_minute: worked(&self.drift_per_minute)?, settled })
    }
}

impl Watch {
    /// Where an instrument can sample it: at an output, or with the probes of a meter.
    #[must_use]
    pub fn point(&self) -> Option<Point> {
        self.from.as_ref().or(self.function.as_ref()).map(|text| Point::parse(text))
    }

    /// The time between two readings (ms), and how many times it passes.
    ///
    /// # Errors
    /// A time without a usable value, or fewer than two readings or too many of them.
    pub fn pace(&self, values: &ValueLookup<'_>) -> Result<(u64, u64), Unworkable> {
        let every = milliseconds(&self.every.evaluate(values)?)?;
        let time = milliseconds(&self.time.evaluate(values)?)?;
        let waits = time.checked_div(every).filter(|n| (1..READINGS_MAX).contains(n));
        Ok((every, waits.ok_or(Unworkable::Pace { most: READINGS_MAX })?))
    }
}

impl Kind for Watch {
    fn name(&self) -> &'static str {
        "watch"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>)) {
        visit(Piece::Text(&self.what));
        for text in [&self.function, &self.from].into_iter().flatten() {
            visit(Piece::Text(text));
        }
        for (key, expression) in [("every", &self.every), ("time", &self.time)] {
            visit(Piece::Quantity { key, expression, dimension: Dimension::TIME });
        }
        if let Some(window) = &self.window {
            window.visit(self.unit.dimension(), visit);
        }
        if let Some(steady) = &self.steady {
            steady.visit(self.unit.dimension(), visit);
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
        let (every_ms, waits) = self.pace(values)?;
        let meter = self
            .function
            .as_ref()
            .map(|function| MeterUse { function: function.value.clone(), source_resistance: None });
        let steady = self.steady.as_ref().map(|steady| steady.worked_out(values)).transpose()?;
        Ok(only(Act::Watch(Box::new(Watching {
            what: self.what.value.clone(),
            unit: self.unit.clone(),
            bounds: self.window.clone().unwrap_or_default().bounds(values)?.with_sign(self.sign()),
            meter,
            point: self.point(),
            every_ms,
            time_ms: every_ms.saturating_mul(waits),
            steady: steady.unwrap_or_default(),
        }))))
    }
}
