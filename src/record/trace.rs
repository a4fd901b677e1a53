//! What an instrument sent while a point was watched, thinned to what a record can keep.

use serde::{Deserialize, Serialize};

use crate::quantity::Unit;

/// What was sampled at one point, thinned: every extreme is kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
#[cfg_attr(test, derive(schemars::JsonSchema))]
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

impl Trace {
    /// How many samples.
    #[must_use]
    pub fn count(&self) -> u64 {
        self.spans.iter().map(|span| span.count).sum()
    }

    /// The lowest sample.
    #[must_use]
    pub fn low(&self) -> Option<f64> {
        self.spans.iter().map(|span| span.low).reduce(f64::min)
    }

    /// The highest sample.
    #[must_use]
    pub fn high(&self) -> Option<f64> {
        self.spans.iter().map(|span| span.high).reduce(f64::max)
    }

    /// The mean.
    #[must_use]
    pub fn mean(&self) -> Option<f64> {
        let count = self.count();
        #[expect(clippy::cast_precision_loss, reason = "far fewer samples than 2^53")]
        let sum: f64 = self.spans.iter().map(|span| span.mean * span.count as f64).sum();
        #[expect(clippy::cast_precision_loss, reason = "far fewer samples than 2^53")]
        (count > 0).then(|| sum / count as f64)
    }

    /// The last sample.
    #[must_use]
    pub fn last(&self) -> Option<f64> {
        self.spans.last().map(|span| span.last)
    }

    /// placeholder
    #[must_use]
    pub fn drift_per_minute(&self) -> Option<f64> {
        let (a, b) = (self.spans.first()?, self.spans.last()?);
        Some((b.last - a.last) / (b.until_ms - a.from_ms) as f64 * 60e3)
    }

    /// placeholder
    #[must_use]
    pub fn farthest_from_last(&self, over_ms: u64) -> Option<f64> {
        let last = self.spans.last()?;
        let from = last.until_ms.saturating_sub(over_ms);
        let spans = self.spans.iter().filter(|span| span.until_ms >= from);
        spans.map(|span| (span.high - last.last).max(last.last - span.low)).reduce(f64::max)
    }
}
