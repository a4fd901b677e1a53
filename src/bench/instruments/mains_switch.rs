//! A switch of the mains to the equipment: on or off, and nothing in between.

use super::commands::plain;
use super::device::Device;
use super::error::DriverError;
use super::fall::{VoltageLeft, left};
use super::switch::Switch;
use crate::bench::Off;

/// The voltage (V) that an open way may show: what its filter lets through to a meter (common practice, no source). It tells only
/// whether the way is open, and never that anything may be touched.
const OPEN_BELOW: f64 = 30.0;

/// A switched way of the mains.
#[derive(Clone, Debug)]
pub(super) struct MainsSwitch {
    pub(super) switch: Switch,
    /// Whether it measures the voltage behind it: its dialect says how it is asked for that.
    pub(super) measures: bool,
}

impl MainsSwitch {
    /// Makes sure that it says it is off, and that no voltage is left behind it where it measures that. Where it doesn't, there is
    /// only its word.
    pub(super) fn confirm_off(&self, device: &mut Device) -> Result<Off, DriverError> {
        self.switch.trust.weigh(&self.switch.name, self.look_whether_off(device))
    }

    fn look_whether_off(&self, device: &mut Device) -> Result<Off, DriverError> {
        self.switch.expect_off(device)?;
        if !self.measures {
            return Ok(Off::Said);
        }
        // A filter behind it takes a moment to empty.
        match left(&self.switch, device, |voltage| voltage.abs() < OPEN_BELOW)? {
            None => Ok(Off::Fallen),
            Some(VoltageLeft { last, .. }) => {
                let (output, voltage) = (self.switch.name.clone(), plain(last));
                Err(DriverError::Stays { output, voltage })
            }
        }
    }
}
