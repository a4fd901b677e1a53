//! What an output of the supply feeds, as numbers in one state of the bench.

use super::Snapshot;
use crate::diagnostic::Finding;
use crate::physics::charging::{Charging, RailDraw};
use crate::procedure::{Expression, ModelLoad};
use crate::quantity::Dimension;

/// The capacitance inside a supply, across its own output, in farads (common practice, no source).
const OWN_F: f64 = 10e-6;

/// The resistance inside a supply, across its own output, in ohms (common practice, no source).
const OWN_OHM: f64 = 10e3;

/// What an output feeds now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::bench::simulated) struct LoadNow {
    /// The reservoir and what is drawn from it.
    pub(in crate::bench::simulated) charging: Charging,
    /// The voltage that the mains would hold it at (V).
    pub(in crate::bench::simulated) mains_v: Option<f64>,
    /// Whether the supply's leads are on it.
    pub(in crate::bench::simulated) is_connected: bool,
}

impl LoadNow {
    /// An output with nothing on it.
    pub(in crate::bench::simulated) const OPEN: Self = Self {
        charging: Charging {
            capacitance_f: OWN_F,
            draw: RailDraw { resistance_ohm: OWN_OHM, current_a: 0.0, from_v: 0.0, full_v: 0.0 },
        },
        mains_v: None,
        is_connected: true,
    };
}

impl Snapshot<'_> {
    /// Works a load out.
    ///
    /// # Errors
    /// A formula without a value, or one of a kind that does not belong there.
    pub(in crate::bench::simulated) fn load(&self, load: &ModelLoad) -> Result<LoadNow, Finding> {
        let volts = |expression: &Expression| self.number(expression, Dimension::VOLTAGE);
        let capacitance = self.number(&load.capacitance, Dimension::CAPACITANCE)?;
        let draw = RailDraw {
            resistance_ohm: self.number(&load.resistance, Dimension::RESISTANCE)?,
            current_a: self.number(&load.current, Dimension::CURRENT)?,
            from_v: volts(&load.from)?,
            full_v: volts(&load.full)?,
        };
        let is_possible = capacitance >= 0.0
            && draw.resistance_ohm > 0.0
            && draw.current_a >= 0.0
            && draw.full_v > draw.from_v;
        if !is_possible {
            let message =
                "no circuit draws like this: no part is below zero, and `full` is above `from`";
            let found = Finding::error("WIN004", "contradicting-limits", message);
            return Err(found.at(load.resistance.text.span));
        }
        Ok(LoadNow {
            charging: Charging { capacitance_f: capacitance + OWN_F, draw },
            mains_v: load.mains.as_ref().map(volts).transpose()?,
            is_connected: self.number(&load.connected, Dimension::NONE)? > 0.5,
        })
    }

    /// A value as a number of base units.
    fn number(&self, expression: &Expression, wanted: Dimension) -> Result<f64, Finding> {
        let value = self.evaluate(expression)?;
        if value.dimension == wanted {
            return Ok(value.to_f64());
        }
        let (found, wanted) = (value.dimension.name(), wanted.name());
        let message = format!("this is {found}, but {wanted} belongs here");
        Err(Finding::error("QTY001", "wrong-dimension", message).at(expression.text.span))
    }
}
