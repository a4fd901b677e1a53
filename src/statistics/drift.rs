//! How values move with time, in a straight line.

use super::bell::{student_beyond, student_within};
use super::sample::Sample;

/// A straight line through values by least squares.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drift {
    /// How much the value changes for one unit of time.
    pub slope: f64,
    /// Standard deviation of the slope.
    pub deviation: f64,
    /// Half the width of the 95 % confidence interval of the slope.
    pub uncertainty: f64,
    /// The chance of such a slope or a steeper one where nothing drifts.
    pub chance: f64,
}

impl Drift {
    /// Fits a line to pairs of time and value; `None` for fewer than three, or where all times are the same.
    #[must_use]
    pub fn of(points: &[(f64, f64)]) -> Option<Self> {
        if points.len() < 3 {
            return None;
        }
        let (times, values): (Vec<_>, Vec<_>) = points.iter().copied().unzip();
        let (time, value) = (Sample::of(&times)?, Sample::of(&values)?);
        let spread: f64 = times.iter().map(|at| (at - time.mean).powi(2)).sum();
        if spread <= 0.0 {
            return None;
        }
        let off = |(own_time, number): &(f64, f64)| (own_time - time.mean, number - value.mean);
        let slope = points.iter().map(off).map(|(x, y)| x * y).sum::<f64>() / spread;
        let left: f64 = points.iter().map(off).map(|(x, y)| (y - slope * x).powi(2)).sum();
        let freedom = time.n() - 2.0;
        let deviation = (left / freedom / spread).sqrt();
        let uncertainty = student_within(0.95, freedom)? * deviation;
        let chance = match (deviation > 0.0, slope.abs() > 0.0) {
            (true, _) => student_beyond(slope / deviation, freedom)?,
            (false, moves) => f64::from(u8::from(!moves)),
        };
        Some(Self { slope, deviation, uncertainty, chance })
    }
}
