//! Statistics over readings of many runs: what is usual, what is not, and how wide a learned window has to be.
//!
//! May use: nothing. Pure: numbers go in, numbers come out.
//!
//! Always true: too few values, values that are all alike, and values that are no numbers give no answer instead of a
//! wrong one; each method names its source and the spread it assumes.

mod bell;
mod chart;
mod drift;
mod integral;
mod normality;
mod rank;
mod sample;
mod share;
mod tolerance;
mod unlike;

#[cfg(test)]
mod tests;

pub use bell::cut_bell;
pub use chart::Chart;
pub use drift::Drift;
pub use normality::Normality;
pub use rank::{quantile, rank_correlation};
pub use sample::Sample;
pub use share::Share;
pub use tolerance::{one_sided_factor, two_sided_factor};
pub use unlike::{Unlike, unlike};
