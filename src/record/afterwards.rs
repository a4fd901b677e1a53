//! What is said of a record once its run is over. It changes nothing of the run itself.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

/// What should be read at an earlier line, or in addition to it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct AmendedLine {
    /// The number of that line.
    pub line: usize,
    /// What should be read there, or in addition to it.
    pub text: String,
}

/// That the record counts for nothing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct VoidedRecord {
    /// Why.
    pub why: String,
    /// Who agrees to it, where the person who says so may not do it alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub with: Option<String>,
}

/// A line that was corrected or completed afterwards.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Amendment {
    /// The number of that line.
    pub line: usize,
    /// What should be read there, or in addition to it.
    pub text: String,
    /// By whom, as typed.
    pub by: String,
    /// When.
    pub at: DateTime<FixedOffset>,
}

/// The declaration that a record counts for nothing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Voiding {
    /// Why.
    pub why: String,
    /// By whom, as typed; by two people where one of them may not do it alone.
    pub by: String,
    /// When.
    pub at: DateTime<FixedOffset>,
}
