//! Tolerance factors of the normal distribution: mean and `k` standard deviations hold a stated share of all that will
//! ever be measured, with a stated confidence.

use statrs::function::gamma::{gamma_ur, ln_gamma};

use super::bell::{below, density, quantile};
use super::integral::{rising_root, simpson};

/// Above this many values the approximation is exact to more digits than anyone prints.
const EXACT_MAX: u32 = 300;

/// The factor for one limit, on either side.
///
/// Exact: the non-central t distribution, its integral over the spread of the standard deviation worked out here.
/// `coverage` and `confidence` lie between 0 and 1; `None` otherwise, or for fewer than two values.
#[must_use]
pub fn one_sided_factor(count: u32, coverage: f64, confidence: f64) -> Option<f64> {
    let (n, freedom) = sizes(count, coverage, confidence)?;
    let shift = quantile(coverage) * n.sqrt();
    let spread = Deviations::of(freedom);
    let excess = |k: f64| spread.mean(|s| below(k * n.sqrt() * s - shift)) - confidence;
    Some(rising_root(-40.0, upper(excess), excess))
}

/// The factor for two limits at the same distance from the mean.
///
/// Exact, as in the tables of ISO 16269-6: the share that the limits hold, over the spread of mean and standard deviation.
/// Above 300 values Howe's approximation, which is then the same to three decimals. `coverage` and `confidence` lie between 0
/// and 1; `None` otherwise, or for fewer than two values.
#[must_use]
pub fn two_sided_factor(count: u32, coverage: f64, confidence: f64) -> Option<f64> {
    let (n, freedom) = sizes(count, coverage, confidence)?;
    if count > EXACT_MAX {
        return Some(howe(n, freedom, coverage, confidence));
    }
    // The mean deviates by `z` of its own deviations; half the width it then takes does not depend on k.
    let widths: Vec<_> =
        (0..=2 * MEANS).map(|index| half_width(offset(index, n), coverage)).collect();
    let excess = |k: f64| {
        let share = |index: u32, width: f64| {
            let simpson = match index {
                0 => 1.0,
                index if index == 2 * MEANS => 1.0,
                index if index % 2 == 1 => 4.0,
                _ => 2.0,
            };
            simpson
                * density(step() * f64::from(index))
                * chi_above(freedom * (width / k).powi(2), freedom)
        };
        let sum: f64 = (0..).zip(&widths).map(|(index, width)| share(index, *width)).sum();
        2.0 * sum * step() / 3.0 - confidence
    };
    let near = howe(n, freedom, coverage, confidence);
    Some(rising_root(0.5 * near, 2.0 * near, excess))
}

/// Pairs of steps over the spread of the mean.
const MEANS: u32 = 60;

/// How many of its own deviations the mean may deviate.
const MEAN_REACH: f64 = 6.5;

fn step() -> f64 {
    MEAN_REACH / f64::from(2 * MEANS)
}

fn offset(index: u32, n: f64) -> f64 {
    step() * f64::from(index) / n.sqrt()
}

/// Half the width around `centre` that holds this share of the normal distribution.
fn half_width(centre: f64, coverage: f64) -> f64 {
    rising_root(0.0, centre + 40.0, |width| {
        below(centre + width) - below(centre - width) - coverage
    })
}

/// Howe's approximation (NIST/SEMATECH e-Handbook 7.2.6.3).
pub(super) fn howe(n: f64, freedom: f64, coverage: f64, confidence: f64) -> f64 {
    let chi = rising_root(0.0, 40.0 * freedom + 200.0, |x| confidence - chi_above(x, freedom));
    quantile(f64::midpoint(1.0, coverage)) * (freedom * (1.0 + 1.0 / n) / chi).sqrt()
}

/// Probability that chi-square is above `x`.
fn chi_above(x: f64, freedom: f64) -> f64 {
    if x <= 0.0 { 1.0 } else { gamma_ur(freedom / 2.0, x / 2.0) }
}

/// The number of values and the degrees of freedom, where the question makes sense.
fn sizes(count: u32, coverage: f64, confidence: f64) -> Option<(f64, f64)> {
    let is_share = |share: f64| share > 0.0 && share < 1.0;
    let makes_sense = count >= 2 && is_share(coverage) && is_share(confidence);
    makes_sense.then(|| (f64::from(count), f64::from(count) - 1.0))
}

/// A factor that is certainly large enough.
fn upper(excess: impl Fn(f64) -> f64) -> f64 {
    let mut high = 8.0;
    while excess(high) < 0.0 && high < 1e9 {
        high *= 2.0;
    }
    high
}

/// How the standard deviation of a sample is spread around that of all.
struct Deviations {
    freedom: f64,
    scale: f64,
}

impl Deviations {
    fn of(freedom: f64) -> Self {
        let half = freedom / 2.0;
        Self { freedom, scale: std::f64::consts::LN_2 + half * half.ln() - ln_gamma(half) }
    }

    fn density(&self, s: f64) -> f64 {
        let power = if self.freedom > 1.0 { (self.freedom - 1.0) * s.ln() } else { 0.0 };
        (self.scale + power - self.freedom * s * s / 2.0).exp()
    }

    /// The mean of a function of the standard deviation.
    fn mean(&self, function: impl Fn(f64) -> f64) -> f64 {
        let reach = 9.0 / (2.0 * self.freedom).sqrt();
        simpson((1.0 - reach).max(0.0), 1.0 + reach, 1_000, |s| self.density(s) * function(s))
    }
}
