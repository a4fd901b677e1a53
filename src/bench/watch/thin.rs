//! Thinning: a watch of any length in a fixed number of spans.

use crate::record::SampleSpan;

/// The most spans that are kept of one point.
pub const SPANS_MAX: usize = 256;

/// Keeps samples as spans, each of as many samples as the others; the last may still grow. When there are too many,
/// neighbours become one, two by two.
///
/// Its memory is the same from the first sample to the last, and no extreme is lost.
#[derive(Clone, Debug)]
pub struct Thinner {
    spans: Vec<SampleSpan>,
    /// How many samples make a span.
    per_span: u64,
}

impl Default for Thinner {
    fn default() -> Self {
        Self { spans: Vec::with_capacity(SPANS_MAX), per_span: 1 }
    }
}

impl Thinner {
    /// Takes a sample; times never go back.
    pub fn push(&mut self, ms: u64, value: f64) {
        let sample = SampleSpan::of(ms, value);
        if let Some(last) = self.spans.last_mut().filter(|last| last.count < self.per_span) {
            *last = last.with(sample);
            return;
        }
        if self.spans.len() == SPANS_MAX {
            self.halve();
        }
        self.spans.push(sample);
    }

    /// The spans in their order.
    #[must_use]
    pub fn into_spans(self) -> Vec<SampleSpan> {
        self.spans
    }

    /// Makes one of each two neighbours, in place.
    fn halve(&mut self) {
        let mut kept = 0;
        for at in (0..self.spans.len()).step_by(2) {
            let pair = self.spans.get(at..(at + 2).min(self.spans.len())).unwrap_or_default();
            let joined = pair.iter().copied().reduce(SampleSpan::with);
            if let (Some(joined), Some(place)) = (joined, self.spans.get_mut(kept)) {
                *place = joined;
                kept += 1;
            }
        }
        self.spans.truncate(kept);
        self.per_span = self.per_span.saturating_mul(2);
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{Dimension, Unit};
    use crate::record::Trace;

    fn thinned(samples: &[(u64, f64)]) -> Trace {
        let mut thinner = Thinner::default();
        samples.iter().for_each(|(ms, value)| thinner.push(*ms, *value));
        let spans = thinner.into_spans();
        Trace { point: "plus.current".to_owned(), unit: Unit::base(Dimension::CURRENT), spans }
    }

    /// Samples a millisecond apart.
    fn evenly(values: &[f64]) -> Trace {
        thinned(&(0..).zip(values.iter().copied()).collect::<Vec<_>>())
    }

    #[test]
    fn a_short_watch_is_kept_sample_by_sample() {
        let values: Vec<_> = (0..SPANS_MAX).map(|n| n as f64).collect();
        let trace = evenly(&values);
        assert_eq!(trace.spans.len(), SPANS_MAX);
        assert!(trace.spans.iter().all(|span| span.count == 1));
        let longer = evenly(&[values, vec![7.0]].concat());
        assert_eq!(longer.spans.len(), SPANS_MAX / 2 + 1);
        assert_eq!(
            longer.spans.first(),
            Some(&SampleSpan::of(0, 0.0).with(SampleSpan::of(1, 1.0)))
        );
    }

    #[test]
    fn one_spike_in_millions_is_kept_with_its_time() {
        let mut thinner = Thinner::default();
        for ms in 0..2_000_000 {
            thinner.push(ms, if ms == 1_234_567 { 9.0 } else { 1.0 });
        }
        let room = thinner.spans.capacity();
        let spans = thinner.into_spans();
        assert!(spans.len() <= SPANS_MAX && room == SPANS_MAX, "{} in {room}", spans.len());
        let whole = spans.into_iter().reduce(SampleSpan::with).unwrap();
        assert_eq!((whole.count, whole.high, whole.high_ms), (2_000_000, 9.0, 1_234_567));
    }

    #[test]
    fn means_are_the_certified_ones() {
        // NIST StRD, univariate, NumAcc1 to NumAcc4: small differences between large numbers.
        let alternating = |first: f64, odd: f64, even: f64| {
            let rest = (0..1000).map(move |n| if n % 2 == 0 { odd } else { even });
            std::iter::once(first).chain(rest).collect::<Vec<_>>()
        };
        for (values, mean) in [
            (vec![10_000_001.0, 10_000_003.0, 10_000_002.0], 10_000_002.0),
            (alternating(1.2, 1.1, 1.3), 1.2),
            (alternating(1_000_000.2, 1_000_000.1, 1_000_000.3), 1_000_000.2),
            (alternating(10_000_000.2, 10_000_000.1, 10_000_000.3), 10_000_000.2),
        ] {
            let found = evenly(&values).mean().unwrap();
            assert!((found - mean).abs() <= 1e-14 * mean, "{found} for {mean}");
        }
    }

    proptest! {
        #[test]
        fn what_is_told_of_a_trace_is_so_of_its_samples(
            samples in prop::collection::vec((0_u64..50, -1e6_f64..1e6), 1..3000)
        ) {
            let mut now = 0;
            let samples: Vec<_> = samples
                .into_iter()
                .map(|(later, value)| {
                    now += later;
                    (now, value)
                })
                .collect();
            let trace = thinned(&samples);
            prop_assert!(trace.spans.len() <= SPANS_MAX);
            prop_assert_eq!(trace.count(), samples.len() as u64);
            let values = || samples.iter().map(|(_, value)| *value);
            prop_assert_eq!(trace.min(), values().reduce(f64::min));
            prop_assert_eq!(trace.max(), values().reduce(f64::max));
            prop_assert_eq!(trace.last(), values().next_back());
            let mean = values().sum::<f64>() / samples.len() as f64;
            prop_assert!((trace.mean().unwrap() - mean).abs() <= 1e-6, "{mean}");

            // Each sample is in the span that its place gives it, and within what that tells.
            let mut rest = samples.as_slice();
            for span in &trace.spans {
                let (within, others) = rest.split_at(usize::try_from(span.count).unwrap());
                rest = others;
                prop_assert!(within.iter().all(|(_, value)| (span.low..=span.high).contains(value)));
                prop_assert!((span.low..=span.high).contains(&span.mean));
                prop_assert!(within.contains(&(span.low_ms, span.low)));
                prop_assert!(within.contains(&(span.high_ms, span.high)));
                let ends = within.first().zip(within.last()).map(|(a, b)| (a.0, b.0, b.1));
                prop_assert_eq!(ends, Some((span.from_ms, span.until_ms, span.last)));
            }
            prop_assert!(rest.is_empty());
        }
    }
}
