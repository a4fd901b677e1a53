//! The simulated supply: two outputs behind one set of commands, one of them selected.

use super::output::{SimulatedOutput, TrippedProtection};
use super::scpi::{ScpiCommand, ScpiError, ScpiResult, Status, number};

/// The bits of the questionable condition: SCPI-1999 gives 0 to a voltage and 1 to a current that is not held (from
/// memory); those of the protections are this supply's own.
const VOLTAGE_NOT_HELD: u32 = 1 << 0;
const CURRENT_NOT_HELD: u32 = 1 << 1;
const OVER_VOLTAGE: u32 = 1 << 9;
const OVER_CURRENT: u32 = 1 << 10;

/// A supply.
#[derive(Debug)]
pub(super) struct SimulatedSupply {
    pub(super) status: Status,
    pub(super) outputs: Vec<SimulatedOutput>,
    selected: u32,
}

impl SimulatedSupply {
    pub(super) fn new(identity: String, outputs: Vec<SimulatedOutput>) -> Self {
        let selected = outputs.first().map_or(1, |output| output.number);
        Self { status: Status::new(identity), outputs, selected }
    }

    pub(super) fn all_off(&mut self) {
        self.outputs.iter_mut().for_each(SimulatedOutput::off);
    }

    pub(super) fn execute(&mut self, command: &ScpiCommand) -> ScpiResult {
        if command.is("INSTrument:NSELect") {
            let number = command.number()?;
            let has = |output: &&SimulatedOutput| (f64::from(output.number) - number).abs() < 1e-9;
            self.selected = self.outputs.iter().find(has).ok_or(ScpiError::OutOfRange)?.number;
            return Ok(None);
        }
        if command.is("INSTrument:NSELect?") {
            return Ok(Some(self.selected.to_string()));
        }
        let selected = self.selected;
        let output = self.outputs.iter_mut().find(|output| output.number == selected);
        let output = output.ok_or(ScpiError::Conflict)?;
        if command.header.ends_with('?') { tell(output, command) } else { obey(output, command) }
    }
}

fn obey(output: &mut SimulatedOutput, command: &ScpiCommand) -> ScpiResult {
    let highest = output.highest;
    let set = &mut output.set;
    if command.is("VOLTage") {
        put(&mut set.voltage_v, command, highest.voltage_v)?;
    } else if command.is("CURRent") {
        put(&mut set.limit_a, command, highest.limit_a)?;
    } else if command.is("VOLTage:PROTection") {
        put(&mut set.over_voltage_v, command, highest.over_voltage_v)?;
    } else if command.is("CURRent:PROTection") {
        put(&mut set.over_current_a, command, highest.over_current_a)?;
    } else if command.is("OUTPut") {
        if command.switch()? {
            output.on().map_err(|_| ScpiError::Conflict)?;
        } else {
            output.off();
        }
    } else if command.is("OUTPut:PROTection:CLEar") {
        output.clear_protection();
    } else {
        return Err(ScpiError::Undefined);
    }
    Ok(None)
}

fn put(setting: &mut f64, command: &ScpiCommand, highest: f64) -> Result<(), ScpiError> {
    let value = command.number()?;
    if !(0.0..=highest * (1.0 + 1e-9)).contains(&value) {
        return Err(ScpiError::OutOfRange);
    }
    *setting = value;
    Ok(())
}

fn tell(output: &SimulatedOutput, command: &ScpiCommand) -> ScpiResult {
    let set = &output.set;
    let told = if command.is("VOLTage?") {
        set.voltage_v
    } else if command.is("CURRent?") {
        set.limit_a
    } else if command.is("VOLTage:PROTection?") {
        set.over_voltage_v
    } else if command.is("CURRent:PROTection?") {
        set.over_current_a
    } else if command.is("MEASure:VOLTage?") {
        rounded(output.volts(), 1e-3)
    } else if command.is("MEASure:CURRent?") {
        rounded(output.amps(), 1e-5)
    } else if command.is("OUTPut?") {
        return Ok(Some(u8::from(output.is_on()).to_string()));
    } else if command.is("STATus:QUEStionable:CONDition?") {
        return Ok(Some(condition(output).to_string()));
    } else {
        return Err(ScpiError::Undefined);
    };
    Ok(Some(number(told)))
}

fn rounded(value: f64, count: f64) -> f64 {
    (value / count).round() * count
}

fn condition(output: &SimulatedOutput) -> u32 {
    let held = match (output.is_on(), output.is_limiting()) {
        (true, true) => VOLTAGE_NOT_HELD,
        (true, false) => CURRENT_NOT_HELD,
        (false, _) => 0,
    };
    held + match output.tripped() {
        Some(TrippedProtection::OverVoltage) => OVER_VOLTAGE,
        Some(TrippedProtection::OverCurrent) => OVER_CURRENT,
        None => 0,
    }
}
