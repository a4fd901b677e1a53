//! What a formula does with two values.

use serde::{Deserialize, Serialize};

/// What is done with two values.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Operator {
    /// The one and the other.
    Add,
    /// The one without the other.
    Subtract,
    /// The one as many times as the other says.
    Multiply,
    /// How many times the other is in the one.
    Divide,
}
