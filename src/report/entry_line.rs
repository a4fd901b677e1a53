//! The pieces of a line about an entry: its place and time, what stands under it, a value as it was answered.

use super::{Sheet, Tone};
use crate::record::{CourseItem, Origin};

/// What stands before an entry: the number of its line, and when.
pub(super) fn time(item: &CourseItem) -> String {
    format!("{:>4} {}", item.line, item.at.format("%H:%M:%S"))
}

pub(super) fn entry(sheet: &mut Sheet, time: &str, tone: Tone, text: &str) {
    sheet.indented(tone, &format!("  {time}  "), text);
}

/// What stands before the lines below an entry.
pub(super) fn under(time: &str) -> String {
    " ".repeat(time.len() + 4)
}

/// The answer as given, with the step's unit in brackets where it was given without one.
pub(super) fn with_unit(text: &str, unit: &str) -> String {
    let bare = text.trim().chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+'));
    if bare && !unit.is_empty() {
        format!("{} [{unit}]", text.trim())
    } else {
        text.trim().to_owned()
    }
}

pub(super) fn remarks(attempt: u32, origin: Origin) -> String {
    let again = if attempt > 1 { format!(", attempt {attempt}") } else { String::new() };
    match origin {
        Origin::Typed => again,
        other => format!("{again}, {}", other.word()),
    }
}
