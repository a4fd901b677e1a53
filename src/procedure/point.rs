//! Where an instrument reads a value.

use std::fmt;

use crate::quantity::{Dimension, Unit};
use crate::window::Sign;

/// What is read at an output of a supply.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum OutputValue {
    /// The voltage at its terminals (V).
    Voltage,
    /// The current it delivers (A).
    Current,
}

/// Where an instrument reads a value: an output of a supply (`plus.current`), or a meter's function (`dc-voltage`), whose
/// probes a person places.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Point {
    /// An output of a supply.
    Output {
        /// The output's name in the bench file.
        channel: String,
        /// What is read there.
        what: OutputValue,
    },
    /// A meter's function, by its name in the bench file.
    Function(String),
}

impl Point {
    /// Reads a point as procedures write it.
    #[must_use]
    pub fn parse(text: &str) -> Self {
        let output = |channel: &str, what| Self::Output { channel: channel.to_owned(), what };
        match text.rsplit_once('.') {
            Some((channel, "voltage")) => output(channel, OutputValue::Voltage),
            Some((channel, "current")) => output(channel, OutputValue::Current),
            _ => Self::Function(text.to_owned()),
        }
    }

    /// What a minus means there: functions that begin with `ac-` or `leakage-` show RMS values, which have none.
    #[must_use]
    pub fn sign(&self) -> Sign {
        let is_rms =
            |function: &str| ["ac-", "leakage-"].iter().any(|prefix| function.starts_with(prefix));
        match self {
            Self::Function(function) if is_rms(function) => Sign::Never,
            Self::Function(_) | Self::Output { .. } => Sign::OfItsKind,
        }
    }

    /// The unit that an output is read in; a meter's function has the step's.
    #[must_use]
    pub fn unit(&self) -> Option<Unit> {
        match self {
            Self::Output { what: OutputValue::Voltage, .. } => Some(Unit::base(Dimension::VOLTAGE)),
            Self::Output { what: OutputValue::Current, .. } => Some(Unit::base(Dimension::CURRENT)),
            Self::Function(_) => None,
        }
    }
}

impl fmt::Display for Point {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Output { channel, what: OutputValue::Voltage } => write!(f, "{channel}.voltage"),
            Self::Output { channel, what: OutputValue::Current } => write!(f, "{channel}.current"),
            Self::Function(function) => f.write_str(function),
        }
    }
}
