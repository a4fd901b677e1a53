//! What can be wrong with a journal, in words for the person who has to deal with it.

use thiserror::Error;

use super::limits::{FORMAT, LINE_MAX};

/// The first thing wrong in a journal, and where.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("line {line}: {kind}; {}", .kind.advice())]
pub struct Damage {
    /// The line of the file as a text viewer numbers it, from 1.
    pub line: usize,
    /// What is wrong with it.
    pub kind: DamageKind,
}

/// The ways in which a journal can be wrong.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum DamageKind {
    /// The file has no bytes at all.
    #[error("the file is empty")]
    Empty,
    /// The file ends before its first line does: the run never got onto the disk.
    #[error("the file ends within its first line, so nothing was recorded")]
    NothingRecorded,
    /// The line is longer than any the program writes.
    #[error("the line is longer than {LINE_MAX} bytes")]
    TooLong,
    /// The line holds bytes that are no UTF-8 text, from this byte on, counted from 1.
    #[error("the line is not UTF-8 text (byte {0})")]
    NotText(usize),
    /// The line is text, but no JSON; serde counts the column in bytes.
    #[error("the line is not JSON (column {0})")]
    NotJson(usize),
    /// The line was changed after it was written.
    #[error("the line was changed after it was written (its own hash does not fit)")]
    OwnHash,
    /// A line is missing, doubled or out of its order.
    #[error("line number {expected} is due here, but this is number {found}")]
    Number {
        /// The number that is due.
        expected: usize,
        /// The number that the line carries.
        found: usize,
    },
    /// The line is sound by itself, but was written after another line than the one before it.
    #[error("the chain is broken (the line was written after another line than the one before it)")]
    Chain,
    /// The torn bytes that the line declares are not the ones before it.
    #[error(
        "the line does not fit what lies before it (torn bytes were added, changed or removed)"
    )]
    Torn,
    /// The hash fits, but the members are not those of this format.
    #[error("the line is not laid out as format {FORMAT} asks")]
    Layout,
    /// The journal was written in a later format.
    #[error("written by a newer version (format {0}; this program reads up to {FORMAT})")]
    Newer(u64),
    /// The line is sound, but what it carries is no entry this program knows.
    #[error("the entry cannot be read ({0})")]
    Entry(String),
}

impl DamageKind {
    /// Says what to do about it.
    pub fn advice(&self) -> &'static str {
        match self {
            Self::Empty | Self::NothingRecorded => "keep the file as it is and start a new run",
            Self::Newer(_) => "keep the file as it is and use a newer version of the program",
            Self::Entry(_) => {
                "keep the file as it is and use the version of the program that wrote it"
            }
            _ => "keep the file as it is, work on a copy, and compare it with a backup",
        }
    }
}
