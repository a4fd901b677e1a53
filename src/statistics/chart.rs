//! Control limits for single values, from how much each differs from those before it.

use super::bell::{below, density};
use super::integral::simpson;
use super::sample::Sample;

/// How the range of a few normal values is spread, in standard deviations of one value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RangeConstants {
    /// Mean of the range.
    pub d2: f64,
    /// Standard deviation of the range.
    pub d3: f64,
}

/// Beyond this many standard deviations nothing adds to a range.
const REACH: f64 = 8.0;

/// Steps of the grid under the mean square of a range.
const GRID: u32 = 320;

impl RangeConstants {
    /// Works the constants out for a subgroup of this size, by integration; `None` for fewer than two values.
    #[must_use]
    pub fn of(size: u8) -> Option<Self> {
        if size < 2 {
            return None;
        }
        let n = i32::from(size);
        let d2 = simpson(-REACH, REACH, 400, |z| 1.0 - (1.0 - below(z)).powi(n) - below(z).powi(n));
        // The mean square over the lowest and the highest value: range squared times their joint density.
        let pairs = f64::from(n) * f64::from(n - 1);
        let square = simpson(-REACH, REACH, GRID, |low| {
            pairs
                * density(low)
                * simpson(low, REACH, GRID / 2, |high| {
                    (high - low).powi(2) * (below(high) - below(low)).powi(n - 2) * density(high)
                })
        });
        Some(Self { d2, d3: (square - d2 * d2).sqrt() })
    }

    /// The upper limit of a range, in mean ranges.
    #[must_use]
    pub fn d4(&self) -> f64 {
        1.0 + 3.0 * self.d3 / self.d2
    }
}

/// Control limits of single values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chart {
    /// The mean.
    pub centre: f64,
    /// Three standard deviations below it.
    pub low: f64,
    /// Three standard deviations above it.
    pub high: f64,
    /// Mean of the moving range.
    pub range: f64,
    /// Upper limit of the moving range.
    pub range_high: f64,
}

impl Chart {
    /// Draws the limits from values in their order and the range over this many neighbours, usually 2.
    ///
    /// The standard deviation is the mean moving range over d2, so that a slow drift doesn't widen the limits. `None`
    /// where there are fewer values than two such ranges need, or where they are all alike.
    #[must_use]
    pub fn of(values: &[f64], span: u8) -> Option<Self> {
        let constants = RangeConstants::of(span)?;
        let ranges: Vec<_> = values.windows(usize::from(span)).map(width).collect();
        let count = u32::try_from(ranges.len()).ok().filter(|count| *count >= 2)?;
        let range = ranges.iter().sum::<f64>() / f64::from(count);
        let centre = Sample::of(values)?.mean;
        let reach = 3.0 * range / constants.d2;
        let range_high = constants.d4() * range;
        let chart = Self { centre, low: centre - reach, high: centre + reach, range, range_high };
        (range > 0.0).then_some(chart)
    }

    /// Tells whether a value is within the limits.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }
}

fn width(values: &[f64]) -> f64 {
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    high - low
}
