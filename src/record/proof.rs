//! Proofs of dead: made, and rested on later.

use serde::{Deserialize, Serialize};

/// Every point was measured dead, with the meter proved before and after.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ProofMade {
    /// The points.
    pub points: Vec<String>,
    /// How long this is believed (ms).
    pub lasts_ms: u64,
}

/// What was proved dead before is taken to be dead still, on the word of who proved it and has had the plug in sight since.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ProofRestedOn {
    /// The points that were measured.
    pub points: Vec<String>,
    /// How long ago (ms).
    pub age_ms: u64,
}
