//! One line of the register.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use crate::journal::{Chain, Torn};
use crate::record::{Mode, Outcome};

/// What the register is told of a record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Registration {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// The run, which is also the name of its record.
    pub run: String,
    /// What became of the record.
    pub what: Change,
}

/// Where a record ended when it was registered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct RecordEnd {
    /// How many whole lines it had.
    pub lines: usize,
    /// The hash of the last of them, or `GENESIS` without one.
    pub head: String,
    /// What a write that was cut off had left behind it, where the end was registered by looking at the file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub torn: Option<Torn>,
}

impl RecordEnd {
    /// Where a record is found to end.
    #[must_use]
    pub fn found(chain: Chain) -> Self {
        Self { lines: chain.lines, head: chain.head, torn: chain.torn }
    }
}

/// What became of a record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Change {
    /// A run is about to begin. Written before the record's first line is.
    Opened {
        /// The hash of the record's first line.
        first: String,
        /// Version of the program.
        program: String,
        /// How the run is carried out.
        mode: Mode,
        /// Who starts at the bench.
        operator: String,
    },
    /// A run is about to be taken up again.
    TakenUp {
        /// What it is taken up from.
        end: RecordEnd,
        /// Version of the program.
        program: String,
        /// Who is at the bench now.
        operator: String,
    },
    /// A sitting ended.
    Ended {
        /// What it left.
        end: RecordEnd,
        /// How it ended.
        outcome: Outcome,
    },
    /// An amendment was added.
    Amended {
        /// The record with it.
        end: RecordEnd,
        /// By whom, as typed.
        by: String,
    },
    /// The record was declared void.
    Voided {
        /// The record with that.
        end: RecordEnd,
        /// By whom, as typed.
        by: String,
    },
    /// A sitting whose end was not registered; what it left was looked at later.
    Settled {
        /// What was found.
        end: RecordEnd,
        /// How it ended, if the record says so.
        outcome: Option<Outcome>,
    },
    /// A record, or lines of one, that somebody took over as they were: nothing vouches for them
    /// from before.
    Adopted {
        /// What was found.
        end: RecordEnd,
        /// How the run was carried out, if anything was recorded.
        mode: Option<Mode>,
        /// How it ended, if the record says so.
        outcome: Option<Outcome>,
        /// By whom, as typed.
        by: String,
    },
}

impl Change {
    /// Where the record ended; an opened run has not ended anywhere yet.
    #[must_use]
    pub fn end(&self) -> Option<&RecordEnd> {
        match self {
            Self::Opened { .. } => None,
            Self::TakenUp { end, .. }
            | Self::Ended { end, .. }
            | Self::Amended { end, .. }
            | Self::Voided { end, .. }
            | Self::Settled { end, .. }
            | Self::Adopted { end, .. } => Some(end),
        }
    }
}

/// What a run tells the register before it begins, except the hash of its first line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Announcement {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// The run.
    pub run: String,
    /// Version of the program.
    pub program: String,
    /// How the run is carried out.
    pub mode: Mode,
    /// Who starts at the bench.
    pub operator: String,
}

impl Announcement {
    /// The line for a run whose first line has this hash.
    pub(super) fn with(self, first: String) -> Registration {
        let Self { at, run, program, mode, operator } = self;
        Registration { at, run, what: Change::Opened { first, program, mode, operator } }
    }
}
