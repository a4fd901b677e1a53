//! Why results stand no longer although nothing was found wrong with them.

use serde::{Deserialize, Serialize};

use super::span_words;

/// Why results stand no longer although nothing was found wrong with them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Expiry {
    /// They are older than results may be.
    Old {
        /// How old the first of their stages is (ms).
        age_ms: u64,
        /// How long results stand (ms).
        stands_ms: u64,
    },
    /// How old they are can't be told: the clock went back while the run was left.
    AgeUnknown,
    /// Nobody had the equipment in sight all the time.
    OutOfSight,
    /// Somebody worked on the equipment.
    HandsIn,
}

impl Expiry {
    /// The reason in words, as in "they count no longer, as ...".
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::Old { age_ms, stands_ms } => {
                let (age, stands) = (span_words(age_ms), span_words(stands_ms));
                format!("their stage began {age} ago and results stand for {stands}")
            }
            Self::AgeUnknown => "the clock went back and nobody knows how old they are".to_owned(),
            Self::OutOfSight => "the equipment was out of sight".to_owned(),
            Self::HandsIn => "hands were in the equipment".to_owned(),
        }
    }
}
