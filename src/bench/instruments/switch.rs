//! Switching an output on and off, and asking which it is.

use super::device::{Device, no_answer};
use super::error::DriverError;
use super::trust::Trust;

/// An output as its instrument knows it.
#[derive(Clone, Debug)]
pub(super) struct Switch {
    /// Its name in the bench file.
    pub(super) name: String,
    /// Its number on the instrument.
    pub(super) number: u32,
    /// What its word that it is off is worth.
    pub(super) trust: Trust,
}

impl Switch {
    pub(super) fn new(name: &str, number: u32) -> Self {
        Self { name: name.to_owned(), number, trust: Trust::default() }
    }

    /// Asks whether it is on. Only the words that mean on or off are an answer.
    pub(super) fn is_on(&self, device: &mut Device) -> Result<bool, DriverError> {
        let question = device.commands().state(self.number);
        let reply = device.ask(&question)?;
        self.means_on(device, &reply)
    }

    /// What an answer to the question for its state means.
    pub(super) fn means_on(&self, device: &Device, reply: &str) -> Result<bool, DriverError> {
        let (on, off) = (device.commands().words(true), device.commands().words(false));
        let is_one = |words: &[String]| words.iter().any(|w| w.eq_ignore_ascii_case(reply.trim()));
        match (is_one(&on), is_one(&off)) {
            (true, false) => Ok(true),
            (false, true) => Ok(false),
            _ => {
                let expected = format!("{} or {}", on.join(" or "), off.join(" or "));
                Err(no_answer(&device.commands().state(self.number), reply, &expected))
            }
        }
    }

    /// Switches it on, and takes the instrument's word that it is.
    pub(super) fn switch_on(&self, device: &mut Device) -> Result<(), DriverError> {
        let on = device.commands().switch(true, self.number);
        device.tell(&on)?;
        if !self.is_on(device)? {
            return Err(DriverError::State { output: self.name.clone(), wanted: "on" });
        }
        device.expect_no_error(&on)
    }

    /// Sends off, and waits for nothing.
    pub(super) fn send_off(&self, device: &mut Device) -> Result<(), DriverError> {
        let off = device.commands().switch(false, self.number);
        device.tell(&off)
    }

    /// Makes sure that it says it is off. Off is sent once more first: a command that came too soon may have been dropped.
    pub(super) fn expect_off(&self, device: &mut Device) -> Result<(), DriverError> {
        if self.is_on(device)? {
            self.send_off(device)?;
            if self.is_on(device)? {
                return Err(DriverError::State { output: self.name.clone(), wanted: "off" });
            }
        }
        Ok(())
    }
}
