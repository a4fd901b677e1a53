//! Small drawings of lines, areas and words, for paper and screens alike.

/// A drawing. Its origin is the upper left corner; lengths are in points (1/72 inch).
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
    /// What is drawn, in order.
    pub marks: Vec<Mark>,
    /// What it shows, for a person who cannot see it.
    pub words: String,
}

/// A place in a drawing.
pub(super) type Coordinates = (f64, f64);

/// What is drawn with. Nothing depends on telling two of them apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// What is drawn on.
    Paper,
    /// For what counts.
    Dark,
    /// For scales.
    Grey,
    /// For areas behind.
    Light,
    /// For what is outside.
    Bad,
}

impl Ink {
    /// Its red, green and blue, each from 0 to 255.
    #[must_use]
    pub fn rgb(self) -> [u8; 3] {
        match self {
            Self::Paper => [255, 255, 255],
            Self::Dark => [26, 26, 26],
            Self::Grey => [110, 110, 110],
            Self::Light => [221, 228, 234],
            Self::Bad => [176, 0, 32],
        }
    }
}

/// Where a text stands to its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// It ends there.
    End,
}

/// Something drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A line from place to place.
    Line {
        /// The places.
        places: Vec<Coordinates>,
        /// Its ink.
        ink: Ink,
        /// Its thickness.
        thick: f64,
    },
    /// A filled area with these corners.
    Area {
        /// The corners.
        corners: Vec<Coordinates>,
        /// Its ink.
        ink: Ink,
    },
    /// A line of words.
    Words {
        /// Where their base line is.
        at: Coordinates,
        /// Where they stand to it.
        anchor: Anchor,
        /// Their size.
        size: f64,
        /// The words.
        text: String,
    },
}

impl Mark {
    /// A straight line.
    #[must_use]
    pub fn line(from: Coordinates, to: Coordinates, ink: Ink, thick: f64) -> Self {
        Self::Line { places: vec![from, to], ink, thick }
    }

    /// A filled rectangle from its upper left corner.
    #[must_use]
    pub fn filled((x, y): Coordinates, width: f64, height: f64, ink: Ink) -> Self {
        let corners = vec![(x, y), (x + width, y), (x + width, y + height), (x, y + height)];
        Self::Area { corners, ink }
    }
}
