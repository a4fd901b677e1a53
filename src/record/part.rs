//! The parts that a second person takes in a run.

use serde::{Deserialize, Serialize};

/// What somebody other than the person at the bench does in a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// Watches what the person at the bench may not do alone.
    Supervise,
    /// Takes a reading again, or agrees on an act and watches it.
    Verify,
    /// Watches at a witness point, or stays in reach.
    Witness,
    /// Releases a hold point.
    Release,
    /// Accepts something as it is.
    Concede,
}

/// What somebody at the bench did.
pub const AT_BENCH: &str = "worked at the bench";

impl Part {
    /// What somebody who had it did.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Supervise => "supervised",
            Self::Verify => "verified",
            Self::Witness => "witnessed",
            Self::Release => "released a hold",
            Self::Concede => "accepted something as it is",
        }
    }
}
