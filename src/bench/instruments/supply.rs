//! An output of a supply: settings that are read back, and off that is measured.

use std::thread;
use std::time::{Duration, Instant};

use super::commands::{Setting, plain};
use super::device::{Device, no_answer};
use super::error::DriverError;
use super::switch::Switch;
use crate::procedure::{Channel, ConstantCurrent, Output};
use crate::quantity::Quantity;

/// How far a setting may be read back from what was sent, beside its step: it is rounded inside many supplies (common
/// practice, no source).
const OF_VALUE: f64 = 0.005;

/// The step of a setting where the bench file gives none, as a part of the most that can be set.
const STEP_OF_MAXIMUM: f64 = 0.0005;

/// How long the output's own capacitors may take to empty before what is left counts as held up by the equipment.
const FALL_MAX: Duration = Duration::from_secs(1);

/// The time between two looks at a voltage that falls.
const LOOK: Duration = Duration::from_millis(20);

/// An output of a supply.
#[derive(Clone, Debug)]
pub(super) struct Supply {
    pub(super) switch: Switch,
    pub(super) channel: Channel,
    /// The most that the stage under way allows (V); nothing is set before there is one.
    ceiling: Option<f64>,
}

/// How an output was confirmed to be off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Off {
    /// It says so, and its voltage is gone.
    Fallen,
    /// It says so and delivers nothing; the voltage at it (V) is held up by what is connected.
    HeldUp(f64),
    /// It says so, and measures nothing itself.
    Said,
}

/// A setting and what was read back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ReadBack {
    pub(super) asked: f64,
    pub(super) read: f64,
    pub(super) fits: bool,
}

impl Supply {
    pub(super) fn new(switch: Switch, channel: Channel) -> Self {
        Self { switch, channel, ceiling: None }
    }

    /// Puts its own protections, its limit and nought volts in place, each read back; it stays off.
    pub(super) fn prepare(
        &mut self,
        device: &mut Device,
        voltage: f64,
        current: f64,
    ) -> Result<(), DriverError> {
        self.ceiling = None;
        self.is_within(voltage, &self.channel.voltage_max, "V")?;
        self.is_within(current, &self.channel.current_max, "A")?;
        let protection = self.channel.protection;
        if let Some(part) = protection.over_voltage {
            self.set(device, Setting::OverVoltage, voltage * part.to_f64())?;
        }
        if let Some(part) = protection.over_current {
            self.set(device, Setting::OverCurrent, current * part.to_f64())?;
        }
        self.set(device, Setting::Current, current)?;
        self.set(device, Setting::Voltage, 0.0)?;
        self.ceiling = Some(voltage);
        Ok(())
    }

    /// Sets the voltage, up to the ceiling it was prepared for.
    pub(super) fn set_voltage(&self, device: &mut Device, voltage: f64) -> Result<(), DriverError> {
        let ceiling = self.ceiling.unwrap_or(0.0);
        if !(0.0..=ceiling).contains(&voltage) {
            return Err(self.beyond(voltage, ceiling, "V"));
        }
        self.set(device, Setting::Voltage, voltage)
    }

    /// Sets something, and refuses another value read back.
    fn set(&self, device: &mut Device, setting: Setting, value: f64) -> Result<(), DriverError> {
        let read = self.set_and_read(device, setting, value)?;
        if read.fits {
            return Ok(());
        }
        let message = device.commands().set(setting, self.switch.number, value).shown();
        Err(DriverError::ReadBack { message, read: plain(read.read), unit: setting.unit() })
    }

    /// Sets something and reads it back.
    pub(super) fn set_and_read(
        &self,
        device: &mut Device,
        setting: Setting,
        value: f64,
    ) -> Result<ReadBack, DriverError> {
        let message = device.commands().set(setting, self.switch.number, value);
        device.tell(&message)?;
        device.expect_no_error(&message)?;
        let question = device.commands().what_is_set(setting, self.switch.number);
        let (what, maximum, step) = match setting {
            Setting::Voltage | Setting::OverVoltage => {
                (Output::Voltage, self.channel.voltage_max, self.channel.voltage_step)
            }
            Setting::Current | Setting::OverCurrent => {
                (Output::Current, self.channel.current_max, self.channel.current_step)
            }
        };
        let read = device.ask_number(&question, what)?;
        let step = step.map_or(STEP_OF_MAXIMUM * maximum.to_f64(), |step| step.to_f64());
        // A hair more than the step: 12.34 has no exact binary number.
        let fits = (read - value).abs() <= step.max(OF_VALUE * value) * 1.000_001;
        Ok(ReadBack { asked: value, read, fits })
    }

    /// Asks which voltage is set.
    pub(super) fn voltage_set(&self, device: &mut Device) -> Result<f64, DriverError> {
        let question = device.commands().what_is_set(Setting::Voltage, self.switch.number);
        device.ask_number(&question, Output::Voltage)
    }

    pub(super) fn measure(&self, device: &mut Device, what: Output) -> Result<f64, DriverError> {
        let question = device.commands().measure(what, self.switch.number);
        device.ask_number(&question, what)
    }

    /// Makes sure that it is off: it has to say so, and its voltage has to be gone, or at least no current flow.
    pub(super) fn confirm_off(&self, device: &mut Device) -> Result<Off, DriverError> {
        self.switch.expect_off(device).map_err(|error| self.turn_down(device, error))?;
        let started = Instant::now();
        let voltage = loop {
            let voltage = self.measure(device, Output::Voltage)?;
            if voltage.abs() <= self.dead_below() {
                return Ok(Off::Fallen);
            }
            if started.elapsed() >= FALL_MAX {
                break voltage;
            }
            thread::sleep(LOOK);
        };
        let current = self.measure(device, Output::Current)?;
        if current.abs() <= self.no_current() {
            return Ok(Off::HeldUp(voltage));
        }
        Err(DriverError::StillLive {
            output: self.switch.name.clone(),
            voltage: plain(voltage),
            current: plain(current),
        })
    }

    /// Where it stays on, nought volts and no current are what is left to try.
    fn turn_down(&self, device: &mut Device, error: DriverError) -> DriverError {
        if !matches!(error, DriverError::State { .. }) {
            return error;
        }
        for setting in [Setting::Voltage, Setting::Current] {
            let nought = device.commands().set(setting, self.switch.number, 0.0);
            // Whether it helped shows in what is measured; it does not say that it is off.
            let _ = device.tell(&nought);
        }
        DriverError::StaysOn { output: self.switch.name.clone() }
    }

    /// The voltage below which nothing is left of it (common practice, no source).
    pub(super) fn dead_below(&self) -> f64 {
        (0.005 * self.channel.voltage_max.to_f64()).max(0.5)
    }

    /// The current that its ammeter may show when none flows (common practice, no source).
    fn no_current(&self) -> f64 {
        (0.001 * self.channel.current_max.to_f64()).max(0.001)
    }

    /// Asks whether it limits the current; `None` where the bench file doesn't say how it tells.
    pub(super) fn is_limiting(&self, device: &mut Device) -> Result<Option<bool>, DriverError> {
        let Some((question, own)) = device.commands().limiting(self.switch.number) else {
            return Ok(None);
        };
        let own: ConstantCurrent = own.clone();
        let reply = device.ask(&question)?;
        if let Some(word) = &own.word {
            return Ok(Some(reply.trim().eq_ignore_ascii_case(word)));
        }
        let bit = own.bit.as_ref().map_or(0, |bit| bit.value);
        let register = reply.trim().trim_start_matches('+').parse::<u64>().ok();
        let register = register.and_then(|register| register.checked_shr(bit));
        let is_set = register.ok_or_else(|| no_answer(&question, &reply, "a register"))? & 1 == 1;
        let when_limiting = own.bit_when_limiting.as_ref().is_none_or(|bit| bit.value == 1);
        Ok(Some(is_set == when_limiting))
    }

    fn is_within(&self, asked: f64, most: &Quantity, unit: &str) -> Result<(), DriverError> {
        let most = most.to_f64();
        if asked > 0.0 && asked <= most { Ok(()) } else { Err(self.beyond(asked, most, unit)) }
    }

    fn beyond(&self, asked: f64, most: f64, unit: &str) -> DriverError {
        DriverError::Beyond {
            output: self.switch.name.clone(),
            asked: format!("{} {unit}", plain(asked)),
            allowed: format!("0 to {} {unit}", plain(most)),
        }
    }
}
