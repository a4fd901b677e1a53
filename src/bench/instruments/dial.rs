//! The voltage of an output that is up, to be turned by another thread.

use super::station::Shared;
use super::supply::Supply;
use crate::bench::Lost;

/// The voltage of an output that is up. It goes no higher than the ceiling the output was brought up with.
#[derive(Clone)]
pub(in crate::bench) struct Dial {
    pub(super) instrument: String,
    pub(super) device: Shared,
    pub(super) supply: Box<Supply>,
}

impl Dial {
    /// Sets the voltage (V) and reads it back.
    pub(in crate::bench) fn turn_to(&self, voltage: f64) -> Result<(), Lost> {
        let set = self.supply.set_voltage(&mut self.device.lock(), voltage);
        set.map_err(|error| error.lost(&self.instrument))
    }

    /// Asks which voltage is set (V).
    pub(in crate::bench) fn stands_at(&self) -> Result<f64, Lost> {
        let set = self.supply.voltage_set(&mut self.device.lock());
        set.map_err(|error| error.lost(&self.instrument))
    }
}
