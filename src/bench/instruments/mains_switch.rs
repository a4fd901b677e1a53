//! A switch of the mains to the equipment: on or off, and nothing in between.

use super::device::Device;
use super::error::DriverError;
use super::supply::Off;
use super::switch::Switch;

/// A switched way of the mains.
#[derive(Clone, Debug)]
pub(super) struct MainsSwitch {
    pub(super) switch: Switch,
}

impl MainsSwitch {
    /// Takes its word: it measures nothing, so the proof of dead is what tells about the equipment.
    pub(super) fn confirm_off(&self, device: &mut Device) -> Result<Off, DriverError> {
        self.switch.expect_off(device).map(|()| Off::Said)
    }
}
