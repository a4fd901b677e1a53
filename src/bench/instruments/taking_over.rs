//! What comes of taking the instruments of a bench over.

use std::fmt;

use super::error::DriverError;
use super::{Instruments, OutputFoundOn};
use crate::bench::{Lost, NotOff};
use crate::procedure::Instrument;

/// An instrument that could not be taken over.
#[derive(Clone, Debug, PartialEq)]
pub struct Failure {
    /// Which.
    pub instrument: String,
    /// Why.
    pub error: DriverError,
    /// Its outputs that are not confirmed to be off, if there are any: one that nobody can speak with may be on too.
    pub not_off: Option<NotOff>,
}

impl Failure {
    /// An instrument that could not be taken over, with its outputs that are not confirmed to be off.
    pub(super) fn new(
        name: &str,
        instrument: &Instrument,
        error: DriverError,
        outputs: Vec<String>,
    ) -> Self {
        // Nothing of a simulated bench has a plug.
        let is_real = !matches!(error, DriverError::NotHere { .. });
        let not_off = (is_real && !outputs.is_empty()).then(|| NotOff {
            lost: error.lost(name),
            what: instrument.what.value.clone(),
            outputs,
            is_on: error.tells_on(),
            is_silent: error.is_out_of_contact(),
        });
        Self { instrument: name.to_owned(), error, not_off }
    }
}

/// What came of taking the instruments of a bench over, each by itself.
pub struct TakenOver {
    /// Those that are as they should be.
    pub instruments: Instruments,
    /// Outputs that were on.
    pub found: Vec<OutputFoundOn>,
    /// Those that could not be taken over.
    pub failures: Vec<Failure>,
}

impl TakenOver {
    /// Why no run begins on them, because of this.
    pub(super) fn refused(&self, lost: Lost) -> Refused {
        let alarms = self.failures.iter().filter_map(|failure| failure.not_off.clone());
        Refused { lost, alarms: alarms.collect(), found: self.found.clone() }
    }
}

/// Why no run begins on the instruments of a bench. In words: first whose plug to pull, last what was found on.
#[derive(Clone, Debug, PartialEq)]
pub struct Refused {
    /// The first instrument that is not as it should be.
    pub lost: Lost,
    /// The instruments whose outputs are not confirmed to be off.
    pub alarms: Vec<NotOff>,
    /// Outputs that were on.
    pub found: Vec<OutputFoundOn>,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut said: Vec<_> = self.alarms.iter().map(NotOff::alarm).collect();
        if !self.alarms.iter().any(|alarm| alarm.lost == self.lost) {
            said.push(self.lost.to_string());
        }
        let found = self.found.iter();
        said.extend(
            found.map(|found_on| format!("{found_on}, what it fed is in an unknown state")),
        );
        f.write_str(&said.join("; "))
    }
}
