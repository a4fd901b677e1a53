//! The exit codes, in one place.

use std::process::ExitCode;

use crate::record::Outcome;
use crate::shell::fault::FaultKind;

/// How the program ends. The numbers are public and do not change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum Exit {
    /// Finished, all inside.
    Finished = 0,
    /// Could not do it: file, disk, internal.
    Failed = 1,
    /// Wrong usage.
    Usage = 2,
    /// Stopped on a reading.
    Stopped = 3,
    /// Left unfinished by the person or a signal.
    Unfinished = 4,
    /// An instrument was lost or tripped.
    Instrument = 5,
    /// Findings in a file that was checked.
    Findings = 6,
    /// A record does not verify.
    Damaged = 7,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit as u8)
    }
}

impl From<Outcome> for Exit {
    fn from(outcome: Outcome) -> Self {
        match outcome {
            Outcome::Finished => Self::Finished,
            Outcome::StoppedOnReading => Self::Stopped,
            Outcome::LeftUnfinished => Self::Unfinished,
            Outcome::InstrumentLost => Self::Instrument,
            Outcome::CouldNotWorkOut | Outcome::CouldNotRecord => Self::Failed,
        }
    }
}

impl From<FaultKind> for Exit {
    fn from(kind: FaultKind) -> Self {
        match kind {
            FaultKind::Failed => Self::Failed,
            FaultKind::Usage => Self::Usage,
            FaultKind::Damaged => Self::Damaged,
            FaultKind::Instrument => Self::Instrument,
            FaultKind::Findings => Self::Findings,
        }
    }
}
