//! An output of a supply: settings that are read back, and off that is measured.

use super::commands::{OutputSetting, plain};
use super::device::{Device, no_answer};
use super::error::DriverError;
use super::fall::{VoltageLeft, left};
use super::switch::Switch;
use crate::bench::Off;
use crate::procedure::{Channel, ConstantCurrent, OutputValue};
use crate::quantity::{Decimal, Dimension, Quantity};
use crate::record::TripCause;

/// How far a setting may be read back from what was sent, beside its step: it is rounded inside many supplies (common
/// practice, no source).
const OF_VALUE: f64 = 0.005;

/// The step of a setting where the bench file gives none, as a part of the most that can be set.
const STEP_OF_MAXIMUM: f64 = 0.0005;

/// The part of a voltage that has to be gone after the time it is given: an output that is on in spite of its word holds its voltage much better,
/// and stored charge that falls slower drains nowhere (common practice, no source).
const FALLING: f64 = 0.003;

/// How far a measured voltage may be above the ceiling, beside what counts as dead (common practice, no source).
const OF_MEASURED: f64 = 0.02;

/// An output of a supply.
#[derive(Clone, Debug)]
pub(super) struct SupplyOutput {
    pub(super) switch: Switch,
    pub(super) channel: Channel,
    /// The most that the stage under way allows; nothing is set before there is one.
    ceiling: Option<OutputCeiling>,
}

/// The most that an output may be set to and deliver in a stage.
#[derive(Clone, Copy, Debug)]
struct OutputCeiling {
    /// In V.
    voltage: f64,
    /// In A.
    current: f64,
}

/// A setting and what was read back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ReadBack {
    pub(super) asked: f64,
    pub(super) read: f64,
    pub(super) fits: bool,
}

impl SupplyOutput {
    pub(super) fn new(switch: Switch, channel: Channel) -> Self {
        Self { switch, channel, ceiling: None }
    }

    /// Puts its own protections, its limit and zero volts in place, each read back; it stays off.
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
            self.set(device, OutputSetting::OverVoltage, voltage * part.to_f64())?;
        }
        if let Some(part) = protection.over_current {
            self.set(device, OutputSetting::OverCurrent, current * part.to_f64())?;
        }
        self.set(device, OutputSetting::Current, current)?;
        self.set(device, OutputSetting::Voltage, 0.0)?;
        self.ceiling = Some(OutputCeiling { voltage, current });
        Ok(())
    }

    /// Sets the voltage, up to the ceiling it was prepared for.
    pub(super) fn set_voltage(&self, device: &mut Device, voltage: f64) -> Result<(), DriverError> {
        let ceiling = self.ceiling.map_or(0.0, |ceiling| ceiling.voltage);
        if !(0.0..=ceiling).contains(&voltage) {
            return Err(self.beyond(voltage, ceiling, "V"));
        }
        self.set(device, OutputSetting::Voltage, voltage)
    }

    /// Sets something, and refuses another value read back.
    fn set(
        &self,
        device: &mut Device,
        setting: OutputSetting,
        value: f64,
    ) -> Result<(), DriverError> {
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
        setting: OutputSetting,
        value: f64,
    ) -> Result<ReadBack, DriverError> {
        let message = device.commands().set(setting, self.switch.number, value);
        device.tell(&message)?;
        device.expect_no_error(&message)?;
        let question = device.commands().what_is_set(setting, self.switch.number);
        let read = device.ask_number(&question, setting.output())?;
        let fits = (read - value).abs() <= self.rounding(setting, value);
        Ok(ReadBack { asked: value, read, fits })
    }

    /// How far a setting may be read back from this value.
    fn rounding(&self, setting: OutputSetting, value: f64) -> f64 {
        let (maximum, step) = match setting.output() {
            OutputValue::Voltage => (self.channel.voltage_max, self.channel.voltage_step),
            OutputValue::Current => (self.channel.current_max, self.channel.current_step),
        };
        let step = step.map_or(STEP_OF_MAXIMUM * maximum.to_f64(), |step| step.to_f64());
        // A hair more than the step: 12.34 has no exact binary number.
        step.max(OF_VALUE * value) * 1.000_001
    }

    /// Asks which voltage is set.
    pub(super) fn voltage_set(&self, device: &mut Device) -> Result<f64, DriverError> {
        self.what_is_set(device, OutputSetting::Voltage)
    }

    fn what_is_set(&self, device: &mut Device, setting: OutputSetting) -> Result<f64, DriverError> {
        let question = device.commands().what_is_set(setting, self.switch.number);
        device.ask_number(&question, setting.output())
    }

    /// What is above the ceiling it was brought up with: a setting that somebody turned up, or its voltage.
    pub(super) fn excess(&self, device: &mut Device) -> Result<Option<TripCause>, DriverError> {
        let Some(OutputCeiling { voltage, current }) = self.ceiling else { return Ok(None) };
        let output = || self.switch.name.clone();
        for (setting, most, dimension) in [
            (OutputSetting::Voltage, voltage, Dimension::VOLTAGE),
            (OutputSetting::Current, current, Dimension::CURRENT),
        ] {
            let set = self.what_is_set(device, setting)?;
            if set > most + self.rounding(setting, most) {
                let [set, most] = [set, most].map(|value| quantity(value, dimension));
                return Ok(Some(TripCause::SetAbove { output: output(), set, most }));
            }
        }
        let measured = self.measure(device, OutputValue::Voltage)?;
        let is_above = measured > voltage * (1.0 + OF_MEASURED) + self.dead_below();
        let [measured, most] = [measured, voltage].map(|value| quantity(value, Dimension::VOLTAGE));
        Ok(is_above.then(|| TripCause::MeasuredAbove { output: output(), measured, most }))
    }

    pub(super) fn measure(
        &self,
        device: &mut Device,
        what: OutputValue,
    ) -> Result<f64, DriverError> {
        let question = device.commands().measure(what, self.switch.number);
        device.ask_number(&question, what)
    }

    /// Makes sure that it is off: it has to say so, and its voltage has to be gone, or at least fall with no current flowing.
    ///
    /// Without a load an output that ignored off delivers nothing either: its word and its ammeter alone prove nothing.
    pub(super) fn confirm_off(&self, device: &mut Device) -> Result<Off, DriverError> {
        self.switch.trust.weigh(&self.switch.name, self.look_whether_off(device))
    }

    fn look_whether_off(&self, device: &mut Device) -> Result<Off, DriverError> {
        self.switch.expect_off(device).map_err(|error| self.turn_down(device, error))?;
        let is_gone = |voltage: f64| voltage.abs() <= self.dead_below();
        match left(&self.switch, device, is_gone)? {
            None => Ok(Off::Fallen),
            Some(VoltageLeft { first, last }) => {
                let off = self.falling(device, first.abs(), last.abs());
                off.map_err(|error| self.turn_down(device, error))
            }
        }
    }

    /// The same, where nothing that holds charge is connected: its voltage has to be gone.
    pub(super) fn confirm_dead(&self, device: &mut Device) -> Result<(), DriverError> {
        match self.confirm_off(device)? {
            Off::Falling(voltage) => Err(self.stays(voltage)),
            Off::Fallen | Off::Said => Ok(()),
        }
    }

    /// What a voltage that is still there comes from: charge falls.
    fn falling(&self, device: &mut Device, first: f64, voltage: f64) -> Result<Off, DriverError> {
        let current = self.measure(device, OutputValue::Current)?;
        if current.abs() > self.no_current() {
            return Err(DriverError::StillLive {
                output: self.switch.name.clone(),
                voltage: plain(voltage),
                current: plain(current),
            });
        }
        device.be_sure()?;
        let falls = voltage <= first * (1.0 - FALLING);
        if falls { Ok(Off::Falling(voltage)) } else { Err(self.stays(voltage)) }
    }

    fn stays(&self, voltage: f64) -> DriverError {
        DriverError::Stays { output: self.switch.name.clone(), voltage: plain(voltage) }
    }

    /// Where it stays on, zero volts and no current are what is left to try.
    fn turn_down(&self, device: &mut Device, error: DriverError) -> DriverError {
        if !error.is_not_off() {
            return error;
        }
        for setting in [OutputSetting::Voltage, OutputSetting::Current] {
            let zero = device.commands().set(setting, self.switch.number, 0.0);
            // Whether it helped shows in what is measured; it does not say that it is off.
            let _ = device.tell(&zero);
        }
        match error {
            DriverError::State { output, .. } => DriverError::StaysOn { output },
            other => other,
        }
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
        let Some((question, load)) = device.commands().limiting(self.switch.number) else {
            return Ok(None);
        };
        let load: ConstantCurrent = load.clone();
        let reply = device.ask(&question)?;
        if let Some(word) = &load.word {
            return Ok(Some(reply.trim().eq_ignore_ascii_case(word)));
        }
        let bit = load.bit.as_ref().map_or(0, |bit| bit.value);
        let register = reply.trim().trim_start_matches('+').parse::<u64>().ok();
        let register = register.and_then(|register| register.checked_shr(bit));
        let is_set = register.ok_or_else(|| no_answer(&question, &reply, "a register"))? & 1 == 1;
        let when_limiting = load.bit_when_limiting.as_ref().is_none_or(|bit| bit.value == 1);
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

/// A number that an instrument has sent, which is finite.
fn quantity(value: f64, dimension: Dimension) -> Quantity {
    Quantity::new(Decimal::from_f64(value).unwrap_or(Decimal::ZERO), dimension)
}
