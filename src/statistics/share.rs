//! A share of a whole that was counted on some of it, with its confidence interval.

use serde::Serialize;
use statrs::function::beta::beta_reg;

use super::integral::rising_root;

/// How many of how many, and between which shares the true one is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Share {
    /// How many.
    pub count: u32,
    /// Of how many.
    pub of: u32,
    /// The lower end of the interval.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
}

/// What lies outside of the interval on either side.
const BEYOND: f64 = 0.025;

impl Share {
    /// Counts, with the interval of Clopper and Pearson (Biometrika 26, 1934, 404) at 95 %: exact, so never narrower than it says. `None` of
    /// nothing, and for more than all.
    #[must_use]
    pub fn of(count: u32, of: u32) -> Option<Self> {
        if of == 0 || count > of {
            return None;
        }
        let (hits, rest) = (f64::from(count), f64::from(of - count));
        // The share at which so many or more, and so many or fewer, are this unlikely.
        let low = if count == 0 { 0.0 } else { root(hits, rest + 1.0, BEYOND) };
        let high = if count == of { 1.0 } else { root(hits + 1.0, rest, 1.0 - BEYOND) };
        Some(Self { count, of, low, high })
    }

    /// The share itself.
    #[must_use]
    pub fn value(&self) -> f64 {
        f64::from(self.count) / f64::from(self.of)
    }
}

/// Where the beta distribution reaches a probability.
fn root(a: f64, b: f64, probability: f64) -> f64 {
    rising_root(0.0, 1.0, |share| beta_reg(a, b, share.clamp(0.0, 1.0)) - probability)
}
