//! Whether values look as if they came from a normal distribution.

use super::bell::below;
use super::sample::Sample;

/// The Anderson-Darling test with mean and standard deviation taken from the values themselves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Normality {
    /// The statistic, corrected for the number of values.
    pub statistic: f64,
    /// The chance of such a statistic or a larger one where all is normal.
    pub chance: f64,
}

/// Fewer values tell nothing: nearly everything passes for normal.
const COUNT_MIN: u32 = 8;

impl Normality {
    /// Tests values; `None` for fewer than eight, or where they are all alike.
    ///
    /// Stephens in D'Agostino and Stephens, Goodness-of-Fit Techniques (1986), table 4.9 for the chance; seen in two open
    /// programs, not in the book.
    #[must_use]
    pub fn of(values: &[f64]) -> Option<Self> {
        let sample = Sample::of(values)?;
        if sample.count < COUNT_MIN || sample.deviation <= 0.0 {
            return None;
        }
        let mut sorted: Vec<_> =
            values.iter().map(|value| (value - sample.mean) / sample.deviation).collect();
        sorted.sort_by(f64::total_cmp);
        let from_both_ends = sorted.iter().zip(sorted.iter().rev());
        let sum: f64 = (1_u32..)
            .zip(from_both_ends)
            .map(|(rank, (low, high))| {
                f64::from(2 * rank - 1) * (below(*low).ln() + below(-high).ln())
            })
            .sum();
        let n = sample.n();
        let statistic = (-n - sum / n) * (1.0 + 0.75 / n + 2.25 / (n * n));
        Some(Self { statistic, chance: chance(statistic) })
    }
}

pub(super) fn chance(a: f64) -> f64 {
    let fit =
        |constant: f64, first: f64, second: f64| (constant + first * a + second * a * a).exp();
    if a < 0.2 {
        1.0 - fit(-13.436, 101.14, -223.73)
    } else if a < 0.34 {
        1.0 - fit(-8.318, 42.796, -59.938)
    } else if a < 0.6 {
        fit(0.9177, -4.279, -1.38)
    } else if a < 13.0 {
        fit(1.2937, -5.709, 0.0186)
    } else {
        // The fit turns up again beyond this point; the chance is far below anything that matters.
        0.0
    }
}
