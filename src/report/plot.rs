//! What was sampled at a point, drawn over time.

use super::drawing::Anchor;
use super::{Drawing, Ink, Mark};
use crate::quantity::{Quantity, Unit};
use crate::record::Trace;
use crate::window::Bounds;

const WIDTH: f64 = 480.0;
const HEIGHT: f64 = 130.0;
/// Room for the numbers left of the axis, and below it.
const LEFT: f64 = 66.0;
const BELOW: f64 = 24.0;
const ABOVE: f64 = 8.0;
const RIGHT: f64 = 10.0;

/// Draws a trace: the line is the mean, the area behind it reaches from the lowest to the highest sample.
///
/// `None` for a trace without samples.
#[must_use]
pub(super) fn plot(trace: &Trace, bounds: Option<&Bounds>) -> Option<Drawing> {
    let limits: Vec<f64> = bounds
        .into_iter()
        .flat_map(|bounds| [bounds.low, bounds.high])
        .flatten()
        .map(|limit| limit.to_f64())
        .collect();
    let scale = PlotScale::of(trace, &limits)?;
    let mut marks = frame();
    for limit in &limits {
        let y = scale.y(*limit);
        marks.push(Mark::line((LEFT, y), (WIDTH - RIGHT, y), Ink::Bad, 0.8));
    }
    let highs = trace.spans.iter().map(|span| (scale.x(span.high_ms), scale.y(span.high)));
    let lows = trace.spans.iter().rev().map(|span| (scale.x(span.low_ms), scale.y(span.low)));
    marks.push(Mark::Area { corners: highs.chain(lows).collect(), ink: Ink::Light });
    let means = trace.spans.iter().flat_map(|span| {
        let y = scale.y(span.mean);
        [(scale.x(span.from_ms), y), (scale.x(span.until_ms), y)]
    });
    marks.push(Mark::Line { places: means.collect(), ink: Ink::Dark, thick: 1.0 });
    marks.extend(scale.words(&trace.unit));
    let words = format!(
        "{} over {} s, from {} to {}",
        trace.point,
        seconds(scale.until_ms.saturating_sub(scale.from_ms)),
        shown(scale.lowest, &trace.unit),
        shown(scale.highest, &trace.unit)
    );
    Some(Drawing { width: WIDTH, height: HEIGHT, marks, words })
}

/// From values and times to places.
struct PlotScale {
    from_ms: u64,
    until_ms: u64,
    lowest: f64,
    highest: f64,
    low: f64,
    high: f64,
}

impl PlotScale {
    fn of(trace: &Trace, limits: &[f64]) -> Option<Self> {
        let (lowest, highest) = (trace.min()?, trace.max()?);
        let low = limits.iter().copied().fold(lowest, f64::min);
        let high = limits.iter().copied().fold(highest, f64::max);
        // A steady trace stands in the middle.
        let room = ((high - low) * 0.06).max(high.abs() * 1e-6).max(1e-12);
        let is_usable = low.is_finite() && high.is_finite();
        is_usable.then_some(Self {
            from_ms: trace.spans.first()?.from_ms,
            until_ms: trace.spans.last()?.until_ms,
            lowest,
            highest,
            low: low - room,
            high: high + room,
        })
    }

    #[expect(clippy::cast_precision_loss, reason = "a run is far shorter than 2^53 ms")]
    fn x(&self, ms: u64) -> f64 {
        let length = self.until_ms.saturating_sub(self.from_ms).max(1) as f64;
        let part = ms.saturating_sub(self.from_ms) as f64 / length;
        LEFT + part.min(1.0) * (WIDTH - LEFT - RIGHT)
    }

    fn y(&self, value: f64) -> f64 {
        let part = (value - self.low) / (self.high - self.low);
        HEIGHT - BELOW - part * (HEIGHT - BELOW - ABOVE)
    }

    fn words(&self, unit: &Unit) -> Vec<Mark> {
        let number = |y: f64, value: f64| Mark::Words {
            at: (LEFT - 4.0, y),
            anchor: Anchor::End,
            size: 8.0,
            text: shown(value, unit),
        };
        let time = |x: f64, anchor, ms| Mark::Words {
            at: (x, HEIGHT - BELOW + 11.0),
            anchor,
            size: 8.0,
            text: format!("{} s", seconds(ms)),
        };
        vec![
            number(ABOVE + 6.0, self.high),
            number(HEIGHT - BELOW, self.low),
            time(LEFT, Anchor::Start, self.from_ms),
            time(WIDTH - RIGHT, Anchor::End, self.until_ms),
        ]
    }
}

fn frame() -> Vec<Mark> {
    let (left, right, top, bottom) = (LEFT, WIDTH - RIGHT, ABOVE, HEIGHT - BELOW);
    let places = vec![(left, top), (left, bottom), (right, bottom)];
    vec![Mark::Line { places, ink: Ink::Grey, thick: 0.8 }]
}

fn shown(value: f64, unit: &Unit) -> String {
    let quantity = Quantity::from_f64(value, unit.dimension());
    quantity.map_or_else(String::new, |quantity| quantity.engineering(3, Some(unit)))
}

fn seconds(ms: u64) -> String {
    format!("{}.{}", ms / 1000, ms % 1000 / 100)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;
    use crate::record::SampleSpan;

    fn span(from_ms: u64, low: f64, high: f64) -> SampleSpan {
        let until_ms = from_ms + 900;
        let (low_ms, high_ms, last) = (from_ms, until_ms, high);
        let mean = f64::midpoint(low, high);
        SampleSpan { from_ms, until_ms, count: 10, mean, low, low_ms, high, high_ms, last }
    }

    fn trace(spans: Vec<SampleSpan>) -> Trace {
        Trace { point: "plus.current".to_owned(), unit: Unit::parse("A").unwrap(), spans }
    }

    #[test]
    fn every_extreme_is_within_the_frame() {
        let trace = trace(vec![span(0, 0.01, 0.02), span(1000, 0.015, 0.9), span(2000, -0.3, 0.1)]);
        let bounds = Bounds::at_most(Quantity::parse("1.5 A").unwrap());
        let drawing = plot(&trace, Some(&bounds)).unwrap();
        let places = drawing.marks.iter().flat_map(|mark| match mark {
            Mark::Line { places, .. } => places.clone(),
            Mark::Area { corners, .. } => corners.clone(),
            Mark::Words { at, .. } => vec![*at],
        });
        for (x, y) in places {
            assert!((0.0..=WIDTH).contains(&x) && (0.0..=HEIGHT).contains(&y), "{x}, {y}");
        }
        assert!(drawing.words.contains("-300 mA to 900 mA"), "{}", drawing.words);
    }

    #[test]
    fn the_time_is_that_from_the_first_to_the_last_sample() {
        let late = trace(vec![span(600_000, 0.01, 0.02), span(601_000, 0.01, 0.02)]);
        let drawing = plot(&late, None).unwrap();
        assert!(drawing.words.contains("over 1.9 s"), "{}", drawing.words);
        let is_said = |words: &str| {
            drawing
                .marks
                .iter()
                .any(|mark| matches!(mark, Mark::Words { text, .. } if text == words))
        };
        assert!(is_said("600.0 s") && is_said("601.9 s"), "when in the watch");
    }

    #[test]
    fn a_steady_trace_and_an_empty_one_harm_nothing() {
        assert!(plot(&trace(vec![span(0, 5.0, 5.0)]), None).is_some());
        assert!(plot(&trace(Vec::new()), None).is_none());
        assert!(plot(&trace(vec![span(0, f64::NAN, f64::INFINITY)]), None).is_none());
    }
}
