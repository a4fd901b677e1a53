//! One line of a record.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::{Event, Fact};

/// When something happened: on the wall clock for people, and on a clock that is never set back for durations.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Moment {
    /// Wall-clock time with its offset, written as RFC 3339.
    pub wall: DateTime<FixedOffset>,
    /// Milliseconds since the program began this sitting; runs on scripted time in a scripted run.
    pub elapsed_ms: u64,
}

/// One event with what the runner concluded from it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// When it happened.
    pub at: Moment,
    /// The person named at the bench at that moment.
    pub by: String,
    /// What happened.
    pub event: Event,
    /// What followed from it, in order.
    pub facts: Vec<Fact>,
}
