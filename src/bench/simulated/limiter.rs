//! The simulated mains limiter: the switch of the outlet, and the meters before and behind its lamp.

use super::meter::SimulatedMeter;
use super::scpi::{ScpiCommand, ScpiResult};
use crate::quantity::Quantity;

/// A switched outlet, with or without a lamp in its line.
#[derive(Debug)]
pub(super) struct Limiter {
    pub(super) meter: SimulatedMeter,
    is_on: bool,
    has_lamp: bool,
    switched_s: f64,
}

impl Limiter {
    pub(super) fn new(meter: SimulatedMeter) -> Self {
        Self { meter, is_on: false, has_lamp: false, switched_s: 0.0 }
    }

    pub(super) fn switch(&mut self, is_on: bool, now_s: f64) {
        if self.is_on != is_on {
            self.is_on = is_on;
            self.switched_s = now_s;
        }
    }

    /// Plugs the equipment in behind the lamp, or past it.
    pub(super) fn plug(&mut self, has_lamp: bool) {
        self.has_lamp = has_lamp;
    }

    pub(super) fn is_on(&self) -> bool {
        self.is_on
    }

    pub(super) fn has_lamp(&self) -> bool {
        self.has_lamp
    }

    /// The time since it was switched (s).
    pub(super) fn since_s(&self, now_s: f64) -> f64 {
        now_s - self.switched_s
    }

    pub(super) fn execute(
        &mut self,
        command: &ScpiCommand,
        probed: Option<Quantity>,
        now_s: f64,
    ) -> ScpiResult {
        if command.is("OUTPut") {
            self.switch(command.switch()?, now_s);
            return Ok(None);
        }
        if command.is("OUTPut?") {
            return Ok(Some(u8::from(self.is_on).to_string()));
        }
        self.meter.execute(command, probed)
    }
}
