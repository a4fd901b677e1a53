//! The normal distribution with mean 0 and deviation 1, and Student's.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};
use statrs::function::erf::erfc;

/// Probability of a value up to `z`.
pub(super) fn below(z: f64) -> f64 {
    0.5 * erfc(-z / std::f64::consts::SQRT_2)
}

/// Density at `z`.
pub(super) fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt()
}

/// The value that is not passed with this probability.
pub(super) fn quantile(probability: f64) -> f64 {
    Normal::standard().inverse_cdf(probability)
}

/// Probability that Student's t is farther from zero than `t`, on both sides together.
pub(super) fn student_beyond(t: f64, freedom: f64) -> Option<f64> {
    let student = StudentsT::new(0.0, 1.0, freedom).ok()?;
    Some(2.0 * student.sf(t.abs()))
}

/// The t that is not passed, on both sides together, with this probability.
pub(super) fn student_within(probability: f64, freedom: f64) -> Option<f64> {
    let student = StudentsT::new(0.0, 1.0, freedom).ok()?;
    Some(student.inverse_cdf(0.5 + probability / 2.0))
}

/// The value that this share of a normal distribution does not pass of which nothing lies beyond `reach` on either side, in
/// standard deviations.
#[must_use]
pub fn cut_bell(share: f64, reach: f64) -> f64 {
    let beyond = below(-reach);
    quantile(beyond + share * (1.0 - 2.0 * beyond)).clamp(-reach, reach)
}
