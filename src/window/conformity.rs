//! How likely the true value is within a window (JCGM 106:2012).

use statrs::distribution::{ContinuousCDF, Normal};

use super::bounds::Bounds;
use super::uncertainty::Uncertainty;
use crate::quantity::{Dimension, Quantity};

impl Bounds {
    /// Gives the probability that the true value is within the limits, from a reading and its
    /// uncertainty (JCGM 106:2012, 7.2; the bell curve, and nothing known beforehand).
    ///
    /// `None` where the window, the reading and the uncertainty do not measure the same.
    pub fn conformity(&self, reading: &Quantity, uncertainty: &Uncertainty) -> Option<f64> {
        Some(1.0 - self.false_accept(reading, uncertainty)?)
    }

    /// Gives the probability that accepting this one reading is wrong: that the true value is
    /// beyond a limit (the specific consumer's risk of JCGM 106:2012, 9.3.2).
    ///
    /// Where the reading is refused instead, 1 less this is the chance that refusing it is wrong.
    /// `None` as for [`Bounds::conformity`].
    pub fn false_accept(&self, reading: &Quantity, uncertainty: &Uncertainty) -> Option<f64> {
        let standard = &uncertainty.standard;
        let room = |limit: Option<Quantity>, sign: f64| match limit {
            None => Some(f64::INFINITY),
            Some(limit) => Some(sign * less(reading, &limit, standard.dimension)?),
        };
        let (above_low, below_high) = (room(self.low, 1.0)?, room(self.high, -1.0)?);
        let beyond = |room: f64| match standard.to_f64() {
            u if u > 0.0 => Normal::standard().cdf(-room / u),
            _ if room < 0.0 => 1.0,
            _ => 0.0,
        };
        Some(beyond(above_low) + beyond(below_high))
    }
}

/// The distance between two values of one kind, if that is what `spread` measures too.
fn less(value: &Quantity, limit: &Quantity, spread: Dimension) -> Option<f64> {
    (value.dimension == limit.dimension && value.dimension.minus(limit.dimension) == Some(spread))
        .then(|| value.to_f64() - limit.to_f64())
}
