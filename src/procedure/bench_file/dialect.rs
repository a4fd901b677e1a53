//! The commands of an instrument.

use serde::Deserialize;

use crate::procedure::{At, Ordered};
use crate::quantity::Quantity;

/// The commands of an instrument, as far as they differ from the standard ones (SCPI-1999, IEEE 488.2). `{value}` stands
/// for a number in volts or amps, `{number}` for the number of the channel.
#[derive(Clone, Debug, Default, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Dialect {
    /// Asks who it is (default `*IDN?`).
    pub identify: Option<At<String>>,
    /// Forgets its errors (default `*CLS`).
    pub clear: Option<At<String>>,
    /// Asks for its oldest error (default `SYST:ERR?`); empty where it has no such question.
    pub next_error: Option<At<String>>,
    /// Selects a channel before each command; none where there is one channel, or each command names it.
    pub select: Option<At<String>>,
    /// Whether the selection and the command stand in one message (default), or in two.
    pub select_apart: Option<At<bool>>,
    /// Sets the voltage (default `VOLT {value}`).
    pub set_voltage: Option<At<String>>,
    /// Asks which voltage is set (default `VOLT?`).
    pub voltage_set: Option<At<String>>,
    /// Sets the current limit (default `CURR {value}`).
    pub set_current: Option<At<String>>,
    /// Asks which limit is set (default `CURR?`).
    pub current_set: Option<At<String>>,
    /// Sets the overvoltage protection (default `VOLT:PROT {value}`).
    pub set_over_voltage: Option<At<String>>,
    /// Asks where it is set (default `VOLT:PROT?`).
    pub over_voltage_set: Option<At<String>>,
    /// Sets the overcurrent protection (default `CURR:PROT {value}`).
    pub set_over_current: Option<At<String>>,
    /// Asks where it is set (default `CURR:PROT?`).
    pub over_current_set: Option<At<String>>,
    /// Switches the output on (default `OUTP ON`).
    pub output_on: Option<At<String>>,
    /// Switches the output off (default `OUTP OFF`).
    pub output_off: Option<At<String>>,
    /// Asks whether the output is on (default `OUTP?`).
    pub output_state: Option<At<String>>,
    /// The answers that mean on (default `1` and `ON`).
    pub on_words: Option<Vec<At<String>>>,
    /// The answers that mean off (default `0` and `OFF`).
    pub off_words: Option<Vec<At<String>>>,
    /// Measures the voltage at the output (default `MEAS:VOLT?`).
    pub measure_voltage: Option<At<String>>,
    /// Measures the current (default `MEAS:CURR?`).
    pub measure_current: Option<At<String>>,
    /// How it tells that it limits the current; supplies contradict each other here, so there is no default.
    pub constant_current: Option<ConstantCurrent>,
    /// The questions of a meter's functions, by their names; defaults for `dc-voltage`, `ac-voltage`, `dc-current`,
    /// `ac-current`, `resistance`, `resistance-four-wire`, `diode-test`, `frequency`, `temperature` and `power`.
    #[serde(default)]
    pub measure: Ordered<At<String>>,
    /// What it answers to each command that is no question, if it does.
    pub acknowledges: Option<At<String>>,
    /// A watchdog of its own that switches its outputs off when it hears nothing.
    pub watchdog: Option<Watchdog>,
}

/// The standard questions of a meter's functions (SCPI-1999, from memory).
const QUESTIONS: [(&str, &str); 10] = [
    ("dc-voltage", "MEAS:VOLT:DC?"),
    ("ac-voltage", "MEAS:VOLT:AC?"),
    ("dc-current", "MEAS:CURR:DC?"),
    ("ac-current", "MEAS:CURR:AC?"),
    ("resistance", "MEAS:RES?"),
    ("resistance-four-wire", "MEAS:FRES?"),
    ("diode-test", "MEAS:DIOD?"),
    ("frequency", "MEAS:FREQ?"),
    ("temperature", "MEAS:TEMP?"),
    ("power", "MEAS:POW?"),
];

impl Dialect {
    /// The question of a meter's function: its own, or the standard one.
    #[must_use]
    pub fn question(&self, function: &str) -> Option<&str> {
        let written = self.measure.get(function).map(|written| written.value.as_str());
        let standard = || QUESTIONS.iter().find(|(name, _)| *name == function);
        written.or_else(|| standard().map(|(_, question)| *question))
    }
}

/// How a supply tells that it limits the current.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ConstantCurrent {
    /// The question.
    pub ask: At<String>,
    /// The bit of the answer, from 0.
    pub bit: Option<At<u32>>,
    /// What that bit is while it limits (default 1).
    pub bit_when_limiting: Option<At<u32>>,
    /// Or the word that it answers while it limits.
    pub word: Option<At<String>>,
}

/// A watchdog in an instrument.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Watchdog {
    /// Sets it and starts it; `{value}` stands for its time in seconds.
    pub arm: At<String>,
    /// How long it may hear nothing.
    pub time: Quantity,
    /// Tells it that all is well; none where any message does.
    pub feed: Option<At<String>>,
    /// Ends it.
    pub disarm: Option<At<String>>,
}
