//! A voltage that has to go once its output is off.

use std::thread;
use std::time::{Duration, Instant};

use super::device::Device;
use super::error::DriverError;
use super::switch::Switch;
use crate::procedure::OutputValue;

/// How long the output's own capacitors may take to empty before what is left has to be charge of the equipment.
const FALL_MAX: Duration = Duration::from_secs(1);

/// The time between two looks at a voltage that falls.
const LOOK: Duration = Duration::from_millis(20);

/// A voltage that did not go (V).
pub(super) struct VoltageLeft {
    /// At the first look.
    pub(super) first: f64,
    /// At the last.
    pub(super) last: f64,
}

/// Looks at the voltage behind a switch until it is gone; what is left where it doesn't go.
pub(super) fn left(
    switch: &Switch,
    device: &mut Device,
    is_gone: impl Fn(f64) -> bool,
) -> Result<Option<VoltageLeft>, DriverError> {
    let question = device.commands().measure(OutputValue::Voltage, switch.number);
    let started = Instant::now();
    let first = device.ask_number(&question, OutputValue::Voltage)?;
    let mut last = first;
    while !is_gone(last) {
        if started.elapsed() >= FALL_MAX {
            return Ok(Some(VoltageLeft { first, last }));
        }
        thread::sleep(LOOK);
        last = device.ask_number(&question, OutputValue::Voltage)?;
    }
    // A voltage that was the answer to an earlier question confirms nothing.
    device.be_sure()?;
    Ok(None)
}
