//! On which side of its limits a reading is.

use serde::{Deserialize, Serialize};

/// On which side a reading is outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// Below the low limit.
    Below,
    /// Above the high limit.
    Above,
    /// More than the meter can show, where open is not good.
    OverRange,
    /// Not a number, or a value of another dimension than the limits.
    NoNumber,
    /// Below zero, where nothing of its kind can be.
    BelowZero,
    /// Larger than anything of its kind at a bench.
    Absurd,
}
