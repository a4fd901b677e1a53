//! The parts that a second person takes in a run.

use serde::{Deserialize, Serialize};

use super::{Fact, WitnessOutcome};

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

    /// The part that somebody took by a fact, and who.
    #[must_use]
    pub fn of(fact: &Fact) -> Option<(Self, &str)> {
        match fact {
            Fact::Supervised { by, .. } => Some((Self::Supervise, by)),
            Fact::VerifierNamed { by, .. }
            | Fact::Verified { by, .. }
            | Fact::Agreed { by, .. } => Some((Self::Verify, by)),
            Fact::Witnessed { by, outcome: WitnessOutcome::Attended, .. } => {
                Some((Self::Witness, by))
            }
            Fact::Released { by, .. } => Some((Self::Release, by)),
            Fact::Conceded { by, .. } => Some((Self::Concede, by)),
            _ => None,
        }
    }
}
