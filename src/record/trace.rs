//! What an instrument sent while a point was watched, thinned to what a record can keep.

use serde::{Deserialize, Serialize};

use crate::quantity::Unit;

const MS_PER_MINUTE: f64 = 60_000.0;

/// What was sampled at one point, thinned: every extreme is kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Trace {
    /// The point, as procedures write it.
    pub point: String,
    /// The unit of its values.
    pub unit: Unit,
    /// Spans of time one after the other, each with its lowest, highest and mean value.
    pub spans: Vec<SampleSpan>,
}

/// The samples of a span of time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SampleSpan {
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

impl SampleSpan {
    /// The span of a single sample.
    #[must_use]
    pub const fn of(ms: u64, value: f64) -> Self {
        Self {
            from_ms: ms,
            until_ms: ms,
            count: 1,
            mean: value,
            low: value,
            low_ms: ms,
            high: value,
            high_ms: ms,
            last: value,
        }
    }

    /// This span and the one that follows it as one. Of two equal extremes the earlier is kept.
    #[must_use]
    pub fn with(self, later: Self) -> Self {
        let count = self.count + later.count;
        let (low, low_ms) = match later.low < self.low {
            true => (later.low, later.low_ms),
            false => (self.low, self.low_ms),
        };
        let (high, high_ms) = match later.high > self.high {
            true => (later.high, later.high_ms),
            false => (self.high, self.high_ms),
        };
        // From one mean towards the other: a sum of all samples would lose digits over a long watch.
        let mean = self.mean + (later.mean - self.mean) * (later.count as f64 / count as f64);
        Self {
            from_ms: self.from_ms,
            until_ms: later.until_ms,
            count,
            // Rounding takes no mean out of its span.
            mean: mean.clamp(low, high),
            low,
            low_ms,
            high,
            high_ms,
            last: later.last,
        }
    }

    /// Its middle (ms).
    fn middle_ms(&self) -> f64 {
        f64::midpoint(self.from_ms as f64, self.until_ms as f64)
    }
}

/// A drift below this is none (in the base unit a minute): no instrument on a bench resolves it (common practice, no source).
const DRIFT_LEAST: f64 = 1e-15;

impl Trace {
    /// Everything that was sampled as one span; `None` where nothing was.
    #[must_use]
    pub fn whole(&self) -> Option<SampleSpan> {
        self.spans.iter().copied().reduce(SampleSpan::with)
    }

    /// How many samples were taken.
    #[must_use]
    pub fn count(&self) -> u64 {
        self.spans.iter().map(|span| span.count).sum()
    }

    /// The lowest sample.
    #[must_use]
    pub fn min(&self) -> Option<f64> {
        self.whole().map(|whole| whole.low)
    }

    /// The highest sample.
    #[must_use]
    pub fn max(&self) -> Option<f64> {
        self.whole().map(|whole| whole.high)
    }

    /// The mean of all samples.
    #[must_use]
    pub fn mean(&self) -> Option<f64> {
        self.whole().map(|whole| whole.mean)
    }

    /// The last sample.
    #[must_use]
    pub fn last(&self) -> Option<f64> {
        self.spans.last().map(|span| span.last)
    }

    /// How much the value changes in a minute, as the last third of the time shows it.
    ///
    /// The slope of the straight line through the means of the spans, each counting as often as it has samples:
    /// b = Σ n (t − t̄)(y − ȳ) / Σ n (t − t̄)². `None` where fewer than two spans have their middle in that third.
    ///
    /// Source: ordinary least squares, weighted by counts, as in the NIST/SEMATECH e-Handbook of Statistical Methods,
    /// sections 4.1.4.1 and 4.1.4.3 (from memory).
    #[must_use]
    pub fn drift_per_minute(&self) -> Option<f64> {
        let (first, last) = (self.spans.first()?, self.spans.last()?);
        let third_ms = (last.until_ms.saturating_sub(first.from_ms)) as f64 / 3.0;
        let from_ms = last.until_ms as f64 - third_ms;
        let late = self.spans.iter().filter(|span| span.middle_ms() >= from_ms);
        let points: Vec<_> = late
            // From the beginning of that third, so that no digits are lost in large times.
            .map(|span| (span.middle_ms() - from_ms, span.mean, span.count as f64))
            .collect();
        let drift = slope(&points)? * MS_PER_MINUTE;
        // What is left of steady samples by the last bits of the arithmetic is no drift of anything.
        Some(if drift.abs() < DRIFT_LEAST { 0.0 } else { drift })
    }

    /// How far the farthest sample of the last `for_ms` is from their mean: how settled the value is.
    ///
    /// A span that began earlier counts whole, so what is still settling is never called settled. `None` where the
    /// trace is shorter than that.
    #[must_use]
    pub fn unsettled(&self, for_ms: u64) -> Option<f64> {
        let (first, last) = (self.spans.first()?, self.spans.last()?);
        let from_ms = last.until_ms.checked_sub(for_ms).filter(|from| *from >= first.from_ms)?;
        let late = self.spans.iter().filter(|span| span.until_ms >= from_ms);
        let late = late.copied().reduce(SampleSpan::with)?;
        Some((late.high - late.mean).max(late.mean - late.low))
    }
}

/// The slope of the straight line that fits points (x, y, weight) best; `None` where all x are one.
fn slope(points: &[(f64, f64, f64)]) -> Option<f64> {
    let weight: f64 = points.iter().map(|(_, _, n)| n).sum();
    let x_mean = points.iter().map(|(x, _, n)| n * x).sum::<f64>() / weight;
    let y_mean = points.iter().map(|(_, y, n)| n * y).sum::<f64>() / weight;
    let across: f64 = points.iter().map(|(x, y, n)| n * (x - x_mean) * (y - y_mean)).sum();
    let along: f64 = points.iter().map(|(x, _, n)| n * (x - x_mean).powi(2)).sum();
    (along > 0.0).then(|| across / along)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;
    use crate::quantity::Dimension;

    fn trace(spans: impl IntoIterator<Item = SampleSpan>) -> Trace {
        let spans = spans.into_iter().collect();
        Trace { point: "plus.current".to_owned(), unit: Unit::base(Dimension::CURRENT), spans }
    }

    /// A sample every `every_ms`, each a span of its own.
    fn samples(every_ms: u64, values: &[f64]) -> Trace {
        trace((0..).zip(values).map(|(n, value)| SampleSpan::of(n * every_ms, *value)))
    }

    fn near(a: f64, b: f64) -> bool {
        (a - b).abs() <= 1e-12 * b.abs()
    }

    #[test]
    fn the_slope_is_the_certified_one_of_norris() {
        // NIST StRD, linear regression, Norris (36 points): B1 = 1.00211681802045 (read in public copies of the set).
        let x = [
            0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6,
            775.5, 666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8,
            339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
        ];
        let y = [
            0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1,
            778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6,
            339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
        ];
        let points = |n: f64| x.into_iter().zip(y).map(|(x, y)| (x, y, n)).collect::<Vec<_>>();
        for n in [1.0, 250.0] {
            let found = slope(&points(n)).unwrap();
            assert!(near(found, 1.002_116_818_020_45), "{found}");
        }
    }

    #[test]
    fn a_point_counts_as_often_as_it_has_samples() {
        let twice = slope(&[(0.0, 1.0, 1.0), (1.0, 5.0, 1.0), (1.0, 5.0, 1.0), (2.0, 4.0, 1.0)]);
        let weighted = slope(&[(0.0, 1.0, 1.0), (1.0, 5.0, 2.0), (2.0, 4.0, 1.0)]);
        assert!(near(weighted.unwrap(), twice.unwrap()));
        let lighter = slope(&[(0.0, 0.0, 1.0), (1.0, 5.0, 1.0), (3.0, 4.0, 1.0)]);
        let heavier = slope(&[(0.0, 0.0, 1.0), (1.0, 5.0, 9.0), (3.0, 4.0, 1.0)]);
        assert!((lighter.unwrap() - heavier.unwrap()).abs() > 0.1);
    }

    #[test]
    fn the_drift_is_that_of_the_last_third_in_a_minute() {
        // Falls by 1 a second for 20 s, then rises by 2 mA a second: 0.12 A a minute.
        let fall = (0..20).map(|s| 20.0 - f64::from(s));
        let rise = (0..11).map(|s| 0.002 * f64::from(s));
        let values: Vec<_> = fall.chain(rise).collect();
        let drift = samples(1000, &values).drift_per_minute().unwrap();
        assert!(near(drift, 0.12), "{drift}");
        assert_eq!(samples(1000, &[1.0]).drift_per_minute(), None);
        assert_eq!(samples(1000, &[]).drift_per_minute(), None);
        assert_eq!(samples(0, &[1.0, 2.0]).drift_per_minute(), None);
        assert!(samples(1000, &[3.0; 9]).drift_per_minute().unwrap().abs() < 1e-12);
    }

    #[test]
    fn the_drift_is_the_same_however_late_it_is() {
        let late = 90 * 24 * 3_600_000;
        let spans = (0..9_u64).map(|n| SampleSpan::of(late + n * 1000, n as f64));
        let drift = trace(spans).drift_per_minute().unwrap();
        assert!(near(drift, 60.0), "{drift}");
    }

    #[test]
    fn what_was_sampled_is_told_from_the_spans() {
        let trace = samples(100, &[3.0, -1.0, 4.0, 2.0]);
        assert_eq!(trace.count(), 4);
        let told = [trace.min(), trace.max(), trace.mean(), trace.last()];
        assert_eq!(told, [Some(-1.0), Some(4.0), Some(2.0), Some(2.0)]);
        let whole = trace.whole().unwrap();
        assert_eq!((whole.from_ms, whole.until_ms), (0, 300));
        assert_eq!((whole.low_ms, whole.high_ms), (100, 200));
        let nothing = samples(100, &[]);
        assert_eq!(nothing.count(), 0);
        assert_eq!([nothing.min(), nothing.max(), nothing.mean(), nothing.last()], [None; 4]);
    }

    #[test]
    fn of_two_equal_extremes_the_earlier_is_kept() {
        let whole = samples(10, &[1.0, 5.0, 5.0, 0.0, 0.0]).whole().unwrap();
        assert_eq!((whole.high_ms, whole.low_ms), (10, 30));
    }

    #[test]
    fn settled_needs_the_whole_of_the_time() {
        let values = [9.0, 5.0, 1.0, 1.1, 0.9, 1.0, 1.0];
        let trace = samples(100, &values);
        assert!(trace.unsettled(400).is_some_and(|most| most <= 0.11));
        assert!(trace.unsettled(0).is_some_and(|most| most <= 0.11));
        // A sample more has to be inside, and is not.
        assert!(!trace.unsettled(500).is_some_and(|most| most <= 0.11));
        assert!(!trace.unsettled(400).is_some_and(|most| most <= 0.05));
        assert!(trace.unsettled(600).is_some_and(|most| most <= 10.0));
        // Longer than the trace.
        assert!(!trace.unsettled(601).is_some_and(|most| most <= 10.0));
        assert_eq!(samples(100, &[]).unsettled(0), None);
    }

    #[test]
    fn a_span_that_began_earlier_counts_whole() {
        let joined = SampleSpan::of(0, 9.0).with(SampleSpan::of(100, 1.0));
        let trace = trace([joined, SampleSpan::of(200, 1.0), SampleSpan::of(300, 1.0)]);
        assert!(trace.unsettled(100).is_some_and(|most| most <= 0.1));
        assert!(!trace.unsettled(200).is_some_and(|most| most <= 0.1));
    }
}
