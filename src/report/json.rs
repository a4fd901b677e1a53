//! A run for programs.

use serde_json::Value;

use crate::record::Run;

/// Gives the whole run as JSON: what it started from, everything that happened, how it ended.
///
/// # Errors
/// Never in practice: only if the run could not be put into JSON.
pub fn json(run: &Run) -> Result<Value, serde_json::Error> {
    serde_json::to_value(run)
}
