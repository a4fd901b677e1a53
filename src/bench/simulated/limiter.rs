//! The simulated mains limiter: the switch of the outlet, and the meters before and behind its lamp.

use super::meter::SimulatedMeter;
use super::scpi::{ScpiCommand, ScpiResult};
use crate::quantity::Quantity;
use crate::record::Source;

/// A switched outlet, with or without a lamp in its line.
#[derive(Debug)]
pub(super) struct Limiter {
    pub(super) meter: SimulatedMeter,
    is_on: bool,
    source: Source,
    switched_s: f64,
}

impl Limiter {
    pub(super) fn new(meter: SimulatedMeter) -> Self {
        Self { meter, is_on: false, source: Source::Mains, switched_s: 0.0 }
    }

    pub(super) fn switch(&mut self, is_on: bool, now_s: f64) {
        if self.is_on != is_on {
            self.is_on = is_on;
            self.switched_s = now_s;
        }
    }

    /// Plugs the equipment in behind the lamp, behind a variable transformer, or past both.
    pub(super) fn plug(&mut self, source: Source) {
        self.source = source;
    }

    /// What feeds the equipment; none while it is off.
    pub(super) fn feeds(&self) -> Option<Source> {
        self.is_on.then_some(self.source)
    }

    pub(super) fn is_on(&self) -> bool {
        self.is_on
    }

    pub(super) fn has_lamp(&self) -> bool {
        self.source == Source::MainsThroughLamp
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
