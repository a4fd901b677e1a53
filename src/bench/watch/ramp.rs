//! Outputs on their way to a voltage.

use std::time::Duration;

use super::Sampler;
use crate::bench::Lost;

/// The steps of a ramp: so many that what goes wrong goes wrong by little before it is sampled, and that a reservoir takes
/// up each of them in less time than a meter measures over (common practice, no source).
pub(super) const STEPS: u32 = 400;

/// Outputs of one supply on their way to a voltage, all together.
pub(super) struct Ramp {
    /// The outputs, each with the voltage it comes from once that is known (V).
    outputs: Vec<(String, f64)>,
    to: f64,
    over: Duration,
    /// How many steps were taken.
    taken: u32,
}

impl Ramp {
    pub(super) fn new(to: f64, over: Duration) -> Self {
        Self { outputs: Vec::new(), to, over, taken: 0 }
    }

    pub(super) fn add(&mut self, channel: String) {
        self.outputs.push((channel, 0.0));
    }

    /// Asks where the outputs stand.
    pub(super) fn begin(&mut self, sampler: &mut dyn Sampler) -> Result<(), Lost> {
        for (channel, from) in &mut self.outputs {
            *from = sampler.voltage_set(channel)?;
        }
        Ok(())
    }

    /// Takes the next step, if it is due: one at a time, however late it is. Tells whether it was.
    pub(super) fn go_on(&mut self, sampler: &mut dyn Sampler, now: Duration) -> Result<bool, Lost> {
        let next = self.taken + 1;
        if self.has_arrived() || now < self.over.mul_f64(f64::from(next) / f64::from(STEPS)) {
            return Ok(false);
        }
        for (channel, from) in &self.outputs {
            sampler.set_voltage(channel, self.voltage(*from, next))?;
        }
        self.taken = next;
        Ok(true)
    }

    fn voltage(&self, from: f64, step: u32) -> f64 {
        // The last is exact.
        if step == STEPS {
            self.to
        } else {
            from + (self.to - from) * f64::from(step) / f64::from(STEPS)
        }
    }

    pub(super) fn has_arrived(&self) -> bool {
        self.taken == STEPS
    }
}
