//! How far inputs move together.

use std::collections::BTreeMap;

/// The correlation coefficients between inputs, by name; pairs that are not set are independent.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Correlations {
    /// By the two names in order.
    pairs: BTreeMap<(String, String), f64>,
}

/// Why a correlation cannot be set.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CorrelationError {
    /// Not a coefficient.
    #[error("{0} is no correlation coefficient: give one from -1 to 1")]
    OutOfRange(f64),
    /// An input always moves with itself.
    #[error("`{0}` moves with itself: name two different inputs")]
    WithItself(String),
}

impl Correlations {
    /// Sets the coefficient between two inputs, in whatever order they are named.
    ///
    /// Errors on a coefficient beyond -1 to 1 and on an input with itself.
    pub fn set(&mut self, one: &str, other: &str, r: f64) -> Result<(), CorrelationError> {
        if !(-1.0..=1.0).contains(&r) {
            return Err(CorrelationError::OutOfRange(r));
        }
        if one == other {
            return Err(CorrelationError::WithItself(one.to_owned()));
        }
        self.pairs.insert(pair(one, other), r);
        Ok(())
    }

    /// Gives the coefficient between two inputs; 1 for an input with itself.
    pub fn between(&self, one: &str, other: &str) -> f64 {
        if one == other {
            return 1.0;
        }
        self.pairs.get(&pair(one, other)).copied().unwrap_or(0.0)
    }
}

fn pair(one: &str, other: &str) -> (String, String) {
    (one.min(other).to_owned(), one.max(other).to_owned())
}
