//! An output that was on and should have been off.

use serde::{Deserialize, Serialize};

use crate::quantity::Quantity;

/// An output that was on when its instrument was reached, or came on later.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct OutputOn {
    /// Which instrument.
    pub instrument: String,
    /// Which of its outputs; empty in records of before this was kept.
    #[serde(default)]
    pub output: String,
    /// The voltage that it was set to, where the instrument tells.
    #[serde(default)]
    pub set_to: Option<Quantity>,
    /// Whether it came on after it had been confirmed off: by itself, or at its front panel.
    #[serde(default)]
    pub came_on: bool,
}

impl OutputOn {
    /// What is said of it, as a sentence.
    #[must_use]
    pub fn words(&self) -> String {
        let Self { instrument, output, set_to, came_on } = self;
        if *came_on {
            return format!(
                "ENERGY STATE UNKNOWN: check the supply. Output {output} of {instrument} came on by itself or at its \
                 front panel; it was told to go off"
            );
        }
        let set_to = set_to.as_ref().map(|set| format!(", set to {},", set.engineering(3, None)));
        format!(
            "ENERGY STATE UNKNOWN: check the supply. Output {output} of {instrument} was on{} when it was reached; \
             it was told to go off",
            set_to.unwrap_or_default()
        )
    }
}
