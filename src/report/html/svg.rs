//! Drawings as inline SVG.

use super::markup::Markup;
use crate::report::drawing::{Anchor, Coordinates};
use crate::report::{Drawing, Ink, Mark};

/// Writes a drawing; its size is in points and shrinks with a narrow page.
pub(super) fn draw(markup: &mut Markup, drawing: &Drawing) {
    let (width, height) = (number(drawing.width), number(drawing.height));
    let room = format!("0 0 {width} {height}");
    let (width, height) = (format!("{width}pt"), format!("{height}pt"));
    let attributes = [
        ("role", "img"),
        ("viewBox", room.as_str()),
        ("width", width.as_str()),
        ("height", height.as_str()),
        ("aria-label", drawing.words.as_str()),
    ];
    markup.open("svg", &attributes);
    for mark in &drawing.marks {
        draw_mark(markup, mark);
    }
    markup.close("svg");
}

fn draw_mark(markup: &mut Markup, mark: &Mark) {
    match mark {
        Mark::Line { places: through, ink, thick } => {
            let (points, ink, thick) = (places(through), colour(*ink), number(*thick));
            let attributes = [
                ("points", points.as_str()),
                ("stroke", ink.as_str()),
                ("stroke-width", thick.as_str()),
                ("fill", "none"),
            ];
            markup.element("polyline", &attributes, "");
        }
        Mark::Area { corners, ink } => {
            let (points, ink) = (places(corners), colour(*ink));
            markup.element("polygon", &[("points", &points), ("fill", &ink)], "");
        }
        Mark::Words { at, anchor, size, text } => {
            let anchor = match anchor {
                Anchor::Start => "start",
                Anchor::End => "end",
            };
            let (x, y, size) = (number(at.0), number(at.1), number(*size));
            let attributes = [
                ("x", x.as_str()),
                ("y", y.as_str()),
                ("font-size", size.as_str()),
                ("text-anchor", anchor),
            ];
            markup.element("text", &attributes, text);
        }
    }
}

fn places(places: &[Coordinates]) -> String {
    let places: Vec<_> =
        places.iter().map(|(x, y)| format!("{},{}", number(*x), number(*y))).collect();
    places.join(" ")
}

fn colour(ink: Ink) -> String {
    let [red, green, blue] = ink.rgb();
    format!("#{red:02x}{green:02x}{blue:02x}")
}

/// A length with as many digits as an eye can see.
fn number(length: f64) -> String {
    let text = format!("{length:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
