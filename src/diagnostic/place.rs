//! Places in a text: spans of bytes for the program, lines and columns for people.

use std::ops::Range;

/// A stretch of a text in bytes, the end not included.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub struct Span {
    /// The first byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// Makes a span.
    pub const fn new(start: usize, end: usize) -> Self {
        Self { start, end }
    }

    /// The bytes of `text` this span covers, moved inside the text and out to whole characters.
    pub(super) fn within(self, text: &str) -> Range<usize> {
        let start = text.floor_char_boundary(self.start);
        start..text.ceil_char_boundary(self.end).max(start)
    }
}

impl From<Range<usize>> for Span {
    fn from(range: Range<usize>) -> Self {
        Self::new(range.start, range.end)
    }
}

/// A text and the name it is shown under.
#[derive(Debug, Clone, Copy)]
pub struct NamedText<'a> {
    /// The name people know it by, usually a path.
    pub file: &'a str,
    /// The whole text.
    pub text: &'a str,
}

/// Tells the line and column of a byte offset, both counted from 1, columns in characters.
///
/// An offset inside a character is its start; an offset past the end is the end.
pub fn place(text: &str, offset: usize) -> (usize, usize) {
    let (before, _) = text.split_at(text.floor_char_boundary(offset));
    let lines = before.matches('\n').count();
    let column = before.chars().rev().take_while(|c| *c != '\n').count();
    (lines + 1, column + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_and_columns_count_from_one_in_characters() {
        let text = "ab\n\u{3a9}x\n";
        for (offset, expected) in [
            (0, (1, 1)),
            (2, (1, 3)),
            (3, (2, 1)),
            (4, (2, 1)), // inside the omega
            (5, (2, 2)),
            (7, (3, 1)),
            (usize::MAX, (3, 1)),
        ] {
            assert_eq!(place(text, offset), expected, "offset {offset}");
        }
        assert_eq!(place("", 9), (1, 1));
    }

    #[test]
    fn a_span_is_moved_inside_the_text_and_out_to_whole_characters() {
        let text = "a\u{3a9}b";
        for (span, expected) in [
            (Span::new(0, 1), 0..1),
            (Span::new(2, 2), 1..3),
            (Span::new(3, 99), 3..4),
            (Span::new(99, 200), 4..4),
            (Span::new(3, 0), 3..3),
        ] {
            assert_eq!(span.within(text), expected, "{span:?}");
        }
    }
}
