//! How a verdict came about.

use serde::{Deserialize, Serialize};

use crate::quantity::{Quantity, Reading};
use crate::window::{Rule, Uncertainty};

/// What two machines may differ by in what they work out (a part of it; common practice, no source).
const LAST_DIGITS: f64 = 1e-6;

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

    /// Whether it is as sure as another one, the last digits left out, as machines differ in them.
    pub(super) fn is_as_sure_as(&self, other: &Self) -> bool {
        let sure = |decision: &Self| {
            let part = |uncertainty: &Uncertainty| {
                [uncertainty.standard.to_f64(), uncertainty.expanded.to_f64()]
            };
            let width = decision.uncertainty.as_ref().map(part);
            [
                decision.conformity,
                decision.false_accept,
                width.map(|width| width[0]),
                width.map(|width| width[1]),
            ]
        };
        sure(self).into_iter().zip(sure(other)).all(|pair| match pair {
            (Some(one), Some(other)) => {
                (one - other).abs() <= LAST_DIGITS * one.abs().max(other.abs())
            }
            (one, other) => one.is_none() && other.is_none(),
        })
    }

    /// What was judged of a reading: itself, unless it was corrected.
    #[must_use]
    pub fn judged(&self, reading: &Reading) -> Reading {
        self.corrected.map_or(*reading, Reading::Number)
    }
}
