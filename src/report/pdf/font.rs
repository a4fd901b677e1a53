//! The two fonts, and which of their glyphs a document uses.

use std::collections::BTreeMap;

use subsetter::GlyphRemapper;
use ttf_parser::{Face, FaceParsingError};

const REGULAR: &[u8] = include_bytes!("fonts/LiberationSans-Regular.ttf");
const BOLD: &[u8] = include_bytes!("fonts/LiberationSans-Bold.ttf");

/// Which of the two fonts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Weight {
    Regular,
    Bold,
}

/// The two fonts.
pub(super) struct Fonts {
    pub(super) regular: Font,
    pub(super) bold: Font,
}

impl Fonts {
    pub(super) fn new() -> Result<Self, FaceParsingError> {
        Ok(Self { regular: Font::new(REGULAR)?, bold: Font::new(BOLD)? })
    }

    pub(super) fn of(&self, weight: Weight) -> &Font {
        match weight {
            Weight::Regular => &self.regular,
            Weight::Bold => &self.bold,
        }
    }

    pub(super) fn of_mut(&mut self, weight: Weight) -> &mut Font {
        match weight {
            Weight::Regular => &mut self.regular,
            Weight::Bold => &mut self.bold,
        }
    }
}

/// A font and the glyphs of it that are used.
pub(super) struct Font {
    pub(super) data: &'static [u8],
    pub(super) face: Face<'static>,
    pub(super) remapper: GlyphRemapper,
    /// What each used glyph stands for, by its number in the document.
    pub(super) signs: BTreeMap<u16, char>,
}

impl Font {
    fn new(data: &'static [u8]) -> Result<Self, FaceParsingError> {
        let face = Face::parse(data, 0)?;
        Ok(Self { data, face, remapper: GlyphRemapper::new(), signs: BTreeMap::new() })
    }

    /// Tells whether the font has a sign for a character.
    pub(super) fn has(&self, c: char) -> bool {
        self.face.glyph_index(c).is_some()
    }

    /// The width of a character at a size (pt).
    pub(super) fn width(&self, c: char, size: f64) -> f64 {
        let glyph = self.face.glyph_index(c).unwrap_or_default();
        let advance = f64::from(self.face.glyph_hor_advance(glyph).unwrap_or(0));
        advance / f64::from(self.face.units_per_em()) * size
    }

    /// The width of a line at a size (pt).
    pub(super) fn measure(&self, text: &str, size: f64) -> f64 {
        text.chars().map(|c| self.width(c, size)).sum()
    }

    /// Takes a line into use: the numbers of its glyphs in the document, two bytes each.
    pub(super) fn encode(&mut self, text: &str) -> Vec<u8> {
        let mut bytes = Vec::with_capacity(text.len() * 2);
        for c in text.chars() {
            let glyph = self.face.glyph_index(c).unwrap_or_default();
            let number = self.remapper.remap(glyph.0);
            self.signs.entry(number).or_insert(c);
            bytes.extend(number.to_be_bytes());
        }
        bytes
    }
}
