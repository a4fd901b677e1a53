//! A reading drawn in its window.

use super::{Drawing, Ink, Mark};
use crate::quantity::{Quantity, Reading};
use crate::window::{Bounds, Side, Uncertainty, Verdict, position};

const WIDTH: f64 = 130.0;
const HEIGHT: f64 = 18.0;
/// The window is this part of the width, in the middle; the rest is for what is outside.
const WINDOW: (f64, f64) = (0.15, 0.85);
const BASE: f64 = 9.0;
/// Half the height of the window's band.
const BAND: f64 = 4.0;

/// Draws a reading in its window: the band is what is accepted, a thick end is a limit, the tick is what is expected, the
/// triangle is the reading, the thin line through its tip is the uncertainty.
///
/// `None` where there is no scale: nothing is judged, or zero is the only limit.
#[must_use]
pub(super) fn gauge(
    bounds: &Bounds,
    reading: &Reading,
    verdict: Verdict,
    doubt: Option<&Uncertainty>,
) -> Option<Drawing> {
    let at = |value: Quantity| Some(x(position(bounds, &Reading::Number(value))?.fraction));
    // A window has a scale where its own limit has a place on it.
    at(bounds.low.or(bounds.high)?)?;
    let mut marks = band(bounds);
    if let Some(expected) = bounds.expected.and_then(at) {
        marks.push(Mark::line((expected, BASE - BAND), (expected, BASE + BAND), Ink::Grey, 1.2));
    }
    if let (Reading::Number(value), Some(doubt)) = (reading, doubt) {
        let moved = |by: f64| Quantity::from_f64(value.to_f64() + by, value.dimension);
        let half = doubt.expanded.to_f64();
        if let Some((from, to)) = moved(-half).and_then(at).zip(moved(half).and_then(at)) {
            marks.push(Mark::line((from, BASE), (to, BASE), Ink::Dark, 0.8));
        }
    }
    let place = match (reading, verdict) {
        (Reading::OverRange, _) | (_, Verdict::Outside(Side::Above)) => Some(x(2.0)),
        (_, Verdict::Outside(Side::Below | Side::BelowZero)) => Some(x(-1.0)),
        (Reading::Number(value), Verdict::Outside(Side::Absurd)) => {
            Some(x(if value.value.is_negative() { -1.0 } else { 2.0 }))
        }
        (Reading::Number(value), _) => at(*value),
        (Reading::NotANumber, _) => None,
    };
    let ink = if verdict.is_outside() { Ink::Bad } else { Ink::Dark };
    if let Some(x) = place {
        let corners = vec![(x, BASE), (x - 4.0, HEIGHT - 1.0), (x + 4.0, HEIGHT - 1.0)];
        marks.push(Mark::Area { corners, ink });
    }
    let words = format!("{} in {}", verdict.words(), bounds.describe(None));
    Some(Drawing { width: WIDTH, height: HEIGHT, marks, words })
}

/// The band of what is accepted; a thick end is a limit, an end without one fades into the scale.
fn band(bounds: &Bounds) -> Vec<Mark> {
    let (low, high) = (x(0.0), x(1.0));
    let from = if bounds.low.is_some() { low } else { x(-1.0) };
    let to = if bounds.high.is_some() { high } else { x(2.0) };
    let mut marks = vec![
        Mark::filled((from, BASE - BAND), to - from, 2.0 * BAND, Ink::Light),
        Mark::line((x(-1.0), BASE), (x(2.0), BASE), Ink::Grey, 0.4),
    ];
    let limit = |x: f64| Mark::line((x, BASE - BAND - 1.5), (x, BASE + BAND + 1.5), Ink::Dark, 1.6);
    marks.extend(bounds.low.map(|_| limit(low)));
    marks.extend(bounds.high.map(|_| limit(high)));
    marks
}

/// The place of a part of the window's width; what is far outside stands at the edge.
fn x(fraction: f64) -> f64 {
    let (low, high) = WINDOW;
    ((low + fraction * (high - low)) * WIDTH).clamp(5.0, WIDTH - 5.0)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]
    use super::*;

    fn quantity(text: &str) -> Quantity {
        Quantity::parse(text).unwrap()
    }

    /// Where the tip of the reading's triangle is.
    fn tip(bounds: &Bounds, text: &str) -> Option<f64> {
        let reading = Reading::Number(quantity(text));
        let drawing = gauge(bounds, &reading, bounds.judge(&reading), None)?;
        let mut areas = drawing.marks.iter().filter_map(|mark| match mark {
            Mark::Area { corners, .. } if corners.len() == 3 => Some(corners[0].0),
            _ => None,
        });
        areas.next_back()
    }

    #[test]
    fn a_reading_stands_where_it_is_in_its_window() {
        let bounds = Bounds::between(quantity("10 V"), quantity("20 V")).unwrap();
        let tip = |text| tip(&bounds, text).unwrap();
        assert!((tip("15 V") - WIDTH / 2.0).abs() < 1e-9);
        assert!(
            tip("9.99 V") < x(0.0) && tip("20.01 V") > x(1.0),
            "outside stands beyond its limit"
        );
        assert!(tip("1 kV") <= WIDTH && tip("-1 kV") >= 0.0);
    }

    #[test]
    fn what_has_no_scale_is_not_drawn() {
        assert_eq!(tip(&Bounds::record_only(), "1 V"), None);
        assert_eq!(tip(&Bounds::at_least(quantity("0 V")), "1 V"), None);
        assert!(tip(&Bounds::at_most(quantity("2 V")), "1 V").is_some());
    }
}
