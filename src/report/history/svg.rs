//! A plot as SVG: shapes and text alone, so that nothing in it runs or reaches out.

use std::fmt::Write as _;

use super::{Level, Plot, PointMark};
use crate::diagnostic::clean;

const WIDTH: f64 = 860.0;
const HEIGHT: f64 = 400.0;
/// Free at the left for nothing but air, at the right for the words of the levels.
const LEFT: f64 = 24.0;
const RIGHT: f64 = 150.0;
const TOP: f64 = 48.0;
const BOTTOM: f64 = 24.0;

impl Plot {
    /// Draws it as an SVG file of its own.
    #[must_use]
    pub fn svg(&self) -> String {
        let (low, high) = self.range();
        let y = |value: f64| TOP + (high - value) / (high - low) * (HEIGHT - TOP - BOTTOM);
        let first = self.points.first().map_or(0.0, |point| point.at);
        let span = self.points.last().map_or(0.0, |point| point.at - first);
        let x = |at: f64| {
            let share = if span > 0.0 { (at - first) / span } else { 0.5 };
            LEFT + share * (WIDTH - LEFT - RIGHT)
        };
        let title = escaped(&self.title);
        let mut svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" \
             font-family=\"sans-serif\" font-size=\"13\">\n<title>{title}</title>\n\
             <rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"#ffffff\"/>\n\
             <text x=\"{LEFT}\" y=\"28\" font-size=\"16\">{title}</text>\n"
        );
        for line in self.lines.iter().filter(|line| (low..=high).contains(&line.value)) {
            let (y, end) = (y(line.value), WIDTH - RIGHT);
            let dashes = match line.level {
                Level::Mean => "",
                Level::Control => " stroke-dasharray=\"6 4\"",
                Level::Window => " stroke-dasharray=\"2 3\"",
            };
            let words = escaped(&format!("{} {}", line.words, line.level.words()));
            // Writing to a string does not fail.
            let _ = writeln!(
                svg,
                "<line x1=\"{LEFT}\" y1=\"{y:.1}\" x2=\"{end}\" y2=\"{y:.1}\" stroke=\"#555555\"{dashes}/>\n\
                 <text x=\"{:.1}\" y=\"{:.1}\" font-size=\"11\">{words}</text>",
                end + 8.0,
                y + 4.0
            );
        }
        for point in &self.points {
            let (x, y, words) = (x(point.at), y(point.value), escaped(&point.words));
            let shape = match point.mark {
                PointMark::Usual => {
                    format!("<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3\" fill=\"#1f4e79\">")
                }
                // Another shape as well, as colour alone tells nothing in print.
                PointMark::Odd => format!(
                    "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"10\" height=\"10\" fill=\"#b00020\">",
                    x - 5.0,
                    y - 5.0
                ),
            };
            let end = if point.mark == PointMark::Usual { "circle" } else { "rect" };
            let _ = writeln!(svg, "{shape}<title>{words}</title></{end}>");
        }
        svg + "</svg>\n"
    }
}

/// Text that stays text: no control characters, no markup.
fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in clean(text).chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            other => safe.push(other),
        }
    }
    safe
}

#[cfg(test)]
mod tests {
    use crate::report::history::{Level, Plot, PlotLine, PlotPoint, PointMark};

    #[test]
    fn no_field_brings_markup_in() {
        let nasty = "</text><script>alert(1)</script>&\"' onload=\u{1b}[31m]]>";
        let point = |at, mark| PlotPoint { at, value: at, mark, words: nasty.to_owned() };
        let plot = Plot {
            title: nasty.to_owned(),
            points: vec![point(1.0, PointMark::Usual), point(2.0, PointMark::Odd)],
            lines: vec![PlotLine { level: Level::Mean, value: 1.5, words: nasty.to_owned() }],
        };
        let svg = plot.svg();
        let elements = svg
            .split('<')
            .skip(1)
            .filter_map(|rest| rest.split([' ', '>', '/']).find(|w| !w.is_empty()));
        for element in elements {
            assert!(
                ["svg", "title", "rect", "text", "line", "circle"].contains(&element),
                "{element}"
            );
        }
        assert!(!svg.contains('\u{1b}'));
        assert_eq!(svg.matches("&lt;script&gt;").count(), 5);
    }
}
