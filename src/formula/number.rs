//! A value on its way through a formula.

use std::cmp::Ordering;

use crate::quantity::{Decimal, Dimension, Estimate, Quantity, Terms};

/// A value with what it measures and what makes it uncertain.
#[derive(Debug, Clone)]
pub(super) struct Number {
    /// In base units.
    pub(super) value: f64,
    pub(super) dimension: Dimension,
    pub(super) terms: Terms,
    /// The value as it was written or read, as long as nothing was done to it.
    untouched: Option<Decimal>,
}

impl Number {
    pub(super) fn computed(value: f64, dimension: Dimension, terms: Terms) -> Number {
        Number { value, dimension, terms, untouched: None }
    }

    /// The value as it was written or read, or else rounded to 12 digits; `None` when not finite.
    pub(super) fn quantity(&self) -> Option<Quantity> {
        let value = self.untouched.or_else(|| Decimal::from_f64(self.value))?;
        Some(Quantity::new(value, self.dimension))
    }

    /// Compares in decimals, so that binary noise decides nothing.
    pub(super) fn compare(&self, other: &Number) -> Option<Ordering> {
        self.quantity()?.compare(&other.quantity()?)
    }
}

impl From<Estimate> for Number {
    fn from(estimate: Estimate) -> Number {
        let Quantity { value, dimension } = estimate.value;
        let untouched = Some(value);
        Number { value: value.to_f64(), dimension, terms: estimate.terms, untouched }
    }
}
