//! How likely the true value is within a window (JCGM 106:2012).

use super::bounds::Bounds;
use super::spread;
use crate::quantity::{Dimension, Estimate, Quantity, Spread};

impl Bounds {
    /// Gives the probability that the true value is within the limits, from a reading and what makes it uncertain
    /// (JCGM 106:2012, 7.2; each input with its own shape, and nothing known beforehand; of a result that was drawn, the
    /// share of its draws).
    ///
    /// `None` where the window and the reading do not measure the same, for a window that judges nothing, and where
    /// nothing tells how the reading is spread.
    pub fn conformity(&self, reading: &Estimate) -> Option<f64> {
        Some(1.0 - self.false_accept(reading)?)
    }

    /// Gives the probability that accepting this one reading is wrong: that the true value is
    /// beyond a limit (the specific consumer's risk of JCGM 106:2012, 9.3.2).
    ///
    /// Where the reading is refused instead, 1 less this is the chance that refusing it is wrong.
    /// `None` as for [`Bounds::conformity`].
    pub fn false_accept(&self, reading: &Estimate) -> Option<f64> {
        if self.judges_nothing() {
            return None;
        }
        // A single limit of what has two directions holds for its size: both ways out are counted.
        let Bounds { low, high, .. } = self.reach();
        let room = |limit: Option<Quantity>, sign: f64| match limit {
            None => Some(f64::INFINITY),
            Some(limit) => Some(sign * less(&reading.value, &limit, reading.spread_dimension())?),
        };
        let (above_low, below_high) = (room(low, 1.0)?, room(high, -1.0)?);
        let beyond = |room: f64| spread::beyond(&reading.terms, room);
        match &reading.spread {
            Spread::ByTerms => Some((beyond(above_low) + beyond(below_high)).min(1.0)),
            Spread::Drawn(draws) => Some(share_beyond(draws, above_low, below_high)),
            Spread::Unknown => None,
        }
    }
}

/// The share of draws that are beyond a limit; one without a result is.
///
/// One more is counted than there are: that none of them is beyond does not show that nothing can be.
fn share_beyond(draws: &[Option<f64>], above_low: f64, below_high: f64) -> f64 {
    let is_within = |by: f64| -above_low <= by && by <= below_high;
    let beyond = draws.iter().filter(|draw| !draw.is_some_and(is_within)).count();
    (beyond + 1) as f64 / (draws.len() + 1) as f64
}

/// The distance between two values of one kind, if that is what `spread` measures too.
fn less(value: &Quantity, limit: &Quantity, spread: Dimension) -> Option<f64> {
    (value.dimension == limit.dimension && value.dimension.minus(limit.dimension) == Some(spread))
        .then(|| value.to_f64() - limit.to_f64())
}
