//! How a verdict came about.

use serde::{Deserialize, Serialize};

use crate::quantity::{Quantity, Reading};
use crate::window::{Rule, Uncertainty};

/// How a verdict came about: by what rule, with what meter, and how sure it is.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Decision {
    /// The decision rule.
    pub rule: Rule,
    /// The value that was judged, where it is not the reading itself: what was there before the
    /// meter loaded it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrected: Option<Quantity>,
    /// How far the value may be from the true one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uncertainty: Option<Uncertainty>,
    /// The chance that the true value is within the window (JCGM 106:2012).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub conformity: Option<f64>,
    /// The chance that a value accepted as inside is really outside (JCGM 106:2012).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub false_accept: Option<f64>,
    /// What it was measured with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meter: Option<String>,
}

impl Decision {
    /// Leaves out how sure it is, and of a worked-out value also its uncertainty: versions differ in how they work these
    /// out. The verdict stays.
    pub(super) fn forget_chances(&mut self, is_worked_out: bool) {
        (self.conformity, self.false_accept) = (None, None);
        if is_worked_out {
            self.uncertainty = None;
        }
    }

    /// What was judged of a reading: itself, unless it was corrected.
    #[must_use]
    pub fn judged(&self, reading: &Reading) -> Reading {
        self.corrected.map_or(*reading, Reading::Number)
    }
}
