//! The uncertainty of a reading, as a record keeps it.

use std::num::NonZeroU32;

use serde::{Deserialize, Serialize};

use super::spread;
use crate::quantity::{Estimate, Quantity};

/// How far a reading may be from the true value.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// The standard uncertainty, u; in K for a Celsius temperature.
    pub standard: Quantity,
    /// The expanded uncertainty, U: the true value is within it at the stated level.
    pub expanded: Quantity,
    /// The coverage factor, k = U / u; zero for an exact value.
    pub coverage: f64,
    /// The effective degrees of freedom, truncated; `None` for infinitely many.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub freedom: Option<NonZeroU32>,
    /// The chance that the true value is within U, such as 0.95.
    pub level: f64,
}

impl Uncertainty {
    /// The level the trade states uncertainties at.
    pub const LEVEL: f64 = 0.95;

    /// Expands the uncertainty of an estimate with independent inputs to a level.
    ///
    /// `None` for a level that is not between 0 and 1, and for terms that are not finite.
    pub fn of(estimate: &Estimate, level: f64) -> Option<Uncertainty> {
        let possible = level > 0.0 && level < 1.0;
        if !possible || !estimate.terms.is_finite() {
            return None;
        }
        let standard = estimate.standard_uncertainty();
        let expanded = spread::half_width(&estimate.terms, level);
        let dimension = estimate.spread_dimension();
        Some(Uncertainty {
            standard: Quantity::from_f64(standard, dimension)?,
            expanded: Quantity::from_f64(expanded, dimension)?,
            coverage: if standard > 0.0 { expanded / standard } else { 0.0 },
            freedom: estimate.terms.effective_freedom(),
            level,
        })
    }
}
