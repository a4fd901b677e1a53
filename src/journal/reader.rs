//! From bytes to entries.

use std::fs::OpenOptions;
use std::path::Path;

use serde::de::DeserializeOwned;

use super::damage::{Damage, DamageKind};
use super::disk::{load, open_regular};
use super::error::JournalError;
use super::frame::Torn;
use super::walk::JournalWalk;

/// What a sound journal holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Contents<T> {
    /// The entries, one for each whole line, in order.
    pub entries: Vec<T>,
    /// The hash of the last whole line.
    pub head: String,
    /// What a write that was cut off left after the last whole line.
    pub torn: Option<Torn>,
}

/// Reads a journal from its bytes.
///
/// # Errors
/// The first damage found; no entry is given then, because none that follows can be trusted to be
/// in its place.
pub fn read<T: DeserializeOwned>(bytes: &[u8]) -> Result<Contents<T>, Damage> {
    if bytes.is_empty() {
        return Err(Damage { line: 1, kind: DamageKind::Empty });
    }
    let is_newline = |byte: &u8| *byte == b'\n';
    let (whole, tail) = bytes.split_at(bytes.iter().rposition(is_newline).map_or(0, |at| at + 1));
    let mut lines = whole
        .split_inclusive(is_newline)
        .map(|line| line.strip_suffix(b"\n").unwrap_or(line))
        .peekable();
    let mut walk = JournalWalk::default();
    let mut entries = Vec::new();
    let mut number = 1;
    while let Some(line) = lines.next() {
        let following = lines.peek().copied().unwrap_or(tail);
        let damaged = |kind| Damage { line: number, kind };
        if let Some(taken) = walk.line(line, following).map_err(damaged)? {
            entries.push(taken.entry().map_err(damaged)?);
        }
        number += 1;
    }
    let torn = walk.tail(tail).map_err(|kind| Damage { line: number, kind })?;
    if entries.is_empty() {
        return Err(Damage { line: number, kind: DamageKind::NothingRecorded });
    }
    Ok(Contents { entries, head: walk.head().to_owned(), torn })
}

/// Reads a journal from a file that may be open elsewhere; a line being written meanwhile reads as
/// a torn tail.
///
/// # Errors
/// When the file cannot be read, or is damaged.
pub fn read_file<T: DeserializeOwned>(path: &Path) -> Result<Contents<T>, JournalError> {
    let mut file = open_regular(OpenOptions::new().read(true), path)?;
    let bytes = load(&mut file, path)?;
    read(&bytes).map_err(|damage| JournalError::Damaged { path: path.to_owned(), damage })
}
