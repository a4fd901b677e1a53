//! A person who was invited to watch.

use serde::{Deserialize, Serialize};

/// What became of an invitation to witness.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum WitnessOutcome {
    /// The person came and watched.
    Attended,
    /// The person gave it up.
    Waived,
}
