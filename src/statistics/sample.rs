//! Mean and standard deviation.

/// What is told of values by their number, mean and standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// How many values.
    pub count: u32,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation, with one less than their number as divisor.
    pub deviation: f64,
}

impl Sample {
    /// Sums values up; `None` for fewer than two, or where one is no finite number.
    ///
    /// Two passes, the second corrected for what the first rounded away: a sum of squares would lose all digits where
    /// the spread is small against the mean.
    #[must_use]
    pub fn of(values: &[f64]) -> Option<Self> {
        let count = u32::try_from(values.len()).ok().filter(|count| *count >= 2)?;
        let n = f64::from(count);
        // From the first value on, so that a large mean does not use up the digits.
        let origin = *values.first()?;
        let rough = origin + values.iter().map(|value| value - origin).sum::<f64>() / n;
        let left: f64 = values.iter().map(|value| value - rough).sum();
        let squares: f64 = values.iter().map(|value| (value - rough).powi(2)).sum();
        let deviation = ((squares - left * left / n).max(0.0) / (n - 1.0)).sqrt();
        let sample = Self { count, mean: rough + left / n, deviation };
        (sample.mean.is_finite() && sample.deviation.is_finite()).then_some(sample)
    }

    /// The number of values as a number to calculate with.
    pub(super) fn n(&self) -> f64 {
        f64::from(self.count)
    }
}
