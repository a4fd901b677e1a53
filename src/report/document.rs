//! What a report or a form says, before it is laid out for a screen, for paper or for a terminal.

use super::photo::Photo;
use super::{Drawing, Tone};

/// A report or a form: what stands on every page, and the blocks in order.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    /// Its title.
    pub title: String,
    /// What tells it from every other: on every page.
    pub id: String,
    /// What a reader must not miss, on every page: that it is a rehearsal, that it is incomplete.
    pub marks: Vec<String>,
    /// The program that made it.
    pub program: String,
    /// The moment it speaks of, written as RFC 3339; none for a blank form. Taken from the record, so that the same record
    /// gives the same bytes.
    pub moment: Option<chrono::DateTime<chrono::FixedOffset>>,
    /// Its content.
    pub blocks: Vec<Block>,
}

/// A piece of a document.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// The head of a section.
    Heading(String),
    /// The head of a part of a section.
    Subheading(String),
    /// A paragraph.
    Text(Tone, String),
    /// Named values.
    Fields(Vec<(String, String)>),
    /// Points, one below the other.
    List(Vec<String>),
    /// A table.
    Table(Table),
    /// A drawing with what it shows.
    Figure {
        /// The drawing.
        drawing: Drawing,
        /// What it shows.
        caption: String,
    },
    /// A photo that was put beside the record.
    Photo {
        /// The photo.
        photo: Photo,
        /// What it is.
        caption: String,
    },
    /// A notice in a frame: its word, then its lines.
    Notice {
        /// Its word, such as WARNING.
        word: String,
        /// What it says.
        lines: Vec<String>,
    },
}

/// A table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<Row>,
}

/// A column of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// What is in it.
    pub head: &'static str,
    /// Its share of the width.
    pub share: f64,
}

/// A row of a table.
#[derive(Clone, Debug, PartialEq)]
pub enum Row {
    /// A cell for each column.
    Cells(Vec<Cell>),
    /// The first cell, and one across all other columns.
    Wide(Cell, Cell),
}

/// A cell: lines of text, and a drawing below them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cell {
    /// The lines.
    pub lines: Vec<(Tone, String)>,
    /// What is drawn below them.
    pub drawing: Option<Drawing>,
}

impl Cell {
    /// A cell of one line.
    #[must_use]
    pub fn of(text: impl Into<String>) -> Self {
        Self::toned(Tone::Plain, text)
    }

    /// A cell of one line that is more or less than plain.
    #[must_use]
    pub fn toned(tone: Tone, text: impl Into<String>) -> Self {
        Self { lines: vec![(tone, text.into())], drawing: None }
    }

    /// Adds a line.
    #[must_use]
    pub fn and(mut self, tone: Tone, text: impl Into<String>) -> Self {
        self.lines.push((tone, text.into()));
        self
    }

    /// Adds a line, if there is something to say.
    #[must_use]
    pub fn maybe(self, tone: Tone, text: Option<String>) -> Self {
        match text {
            Some(text) => self.and(tone, text),
            None => self,
        }
    }

    /// Adds a drawing.
    #[must_use]
    pub fn drawn(self, drawing: Option<Drawing>) -> Self {
        Self { drawing, ..self }
    }
}

impl Row {
    /// Leaves out what is in small print.
    pub fn drop_small_print(&mut self) {
        let cells = match self {
            Self::Cells(cells) => cells.as_mut_slice(),
            Self::Wide(_, across) => std::slice::from_mut(across),
        };
        cells.iter_mut().for_each(|cell| cell.lines.retain(|(tone, _)| *tone != Tone::Faint));
    }
}

impl Table {
    /// A table without rows.
    #[must_use]
    pub fn new(columns: &[(&'static str, f64)]) -> Self {
        let columns = columns.iter().map(|(head, share)| Column { head, share: *share });
        Self { columns: columns.collect(), rows: Vec::new() }
    }
}
