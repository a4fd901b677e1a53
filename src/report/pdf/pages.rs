//! Pages being filled from top to bottom.

use super::font::{Fonts, Weight};
use crate::report::drawing::{Anchor, Coordinates};
use crate::report::{Drawing, Ink, Mark};

/// A4 (ISO 216: 210 mm by 297 mm), in points.
pub(super) const WIDTH: f64 = 595.28;
pub(super) const HEIGHT: f64 = 841.89;
pub(super) const LEFT: f64 = 42.0;
pub(super) const RIGHT: f64 = WIDTH - 42.0;
/// Where the content begins and ends; what stands on every page is above and below.
pub(super) const TOP: f64 = 64.0;
pub(super) const BOTTOM: f64 = HEIGHT - 54.0;

/// Something on a page; places are from its upper left corner.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Put {
    Text { at: Coordinates, size: f64, weight: Weight, rgb: [u8; 3], text: String },
    Line { places: Vec<Coordinates>, rgb: [u8; 3], thick: f64 },
    Area { corners: Vec<Coordinates>, rgb: [u8; 3] },
    Photo { number: usize, at: Coordinates, width: f64, height: f64 },
}

/// The pages and where the next thing goes.
#[derive(Debug)]
pub(super) struct Pages {
    pub(super) pages: Vec<Vec<Put>>,
    pub(super) y: f64,
}

impl Pages {
    pub(super) fn new() -> Self {
        Self { pages: vec![Vec::new()], y: TOP }
    }

    pub(super) fn turn(&mut self) {
        self.pages.push(Vec::new());
        self.y = TOP;
    }

    pub(super) fn room(&self) -> f64 {
        BOTTOM - self.y
    }

    /// Turns the page where less than this is left; what is taller than a page stays where it is.
    pub(super) fn need(&mut self, height: f64) {
        if height > self.room() && self.y > TOP {
            self.turn();
        }
    }

    pub(super) fn put(&mut self, put: Put) {
        if let Some(page) = self.pages.last_mut() {
            page.push(put);
        }
    }

    pub(super) fn text(
        &mut self,
        at: Coordinates,
        size: f64,
        weight: Weight,
        rgb: [u8; 3],
        text: &str,
    ) {
        let text = text.to_owned();
        self.put(Put::Text { at, size, weight, rgb, text });
    }

    pub(super) fn rule(&mut self, from: f64, to: f64, y: f64, ink: Ink, thick: f64) {
        self.put(Put::Line { places: vec![(from, y), (to, y)], rgb: ink.rgb(), thick });
    }

    /// Puts a drawing with its upper left corner at a place, at this part of its size.
    pub(super) fn draw(&mut self, fonts: &Fonts, drawing: &Drawing, at: Coordinates, scale: f64) {
        let moved = |(x, y): &Coordinates| (at.0 + x * scale, at.1 + y * scale);
        for mark in &drawing.marks {
            self.put(match mark {
                Mark::Line { places, ink, thick } => Put::Line {
                    places: places.iter().map(moved).collect(),
                    rgb: ink.rgb(),
                    thick: thick * scale,
                },
                Mark::Area { corners, ink } => {
                    Put::Area { corners: corners.iter().map(moved).collect(), rgb: ink.rgb() }
                }
                Mark::Words { at, anchor, size, text } => {
                    let (size, (x, y)) = (size * scale, moved(at));
                    let text = super::text::fit(&fonts.regular, text);
                    let wide = fonts.regular.measure(&text, size);
                    let x = match anchor {
                        Anchor::Start => x,
                        Anchor::End => x - wide,
                    };
                    let rgb = Ink::Dark.rgb();
                    Put::Text { at: (x, y), size, weight: Weight::Regular, rgb, text }
                }
            });
        }
    }
}
