//! What an instrument sent while a point was watched, thinned to what a record can keep.

use serde::{Deserialize, Serialize};

use crate::quantity::Unit;

/// What was sampled at one point, thinned: every extreme is kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Trace {
    /// The point, as procedures write it.
    pub point: String,
    /// The unit of its values.
    pub unit: Unit,
    /// Spans of time one after the other, each with its lowest, highest and mean value.
    pub spans: Vec<Span>,
}

/// The samples of a span of time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Span {
    /// Its first sample (ms since the watch began).
    pub from_ms: u64,
    /// Its last sample.
    pub until_ms: u64,
    /// How many samples.
    pub count: u64,
    /// Their mean.
    pub mean: f64,
    /// The lowest.
    pub low: f64,
    /// When the lowest came.
    pub low_ms: u64,
    /// The highest.
    pub high: f64,
    /// When the highest came.
    pub high_ms: u64,
    /// The last.
    pub last: f64,
}
