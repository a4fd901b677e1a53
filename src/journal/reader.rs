//! From bytes to entries: walks the lines, keeps the chain, tells a torn tail from damage.
//!
//! A torn tail is what follows the last newline. Nothing cuts it off: the next line written
//! declares it, so that it stays in the file as a line that is broken and accounted for. A write
//! can be cut off twice in a row; then the broken bytes span several lines, and the line that
//! follows declares them all.

use std::fs::OpenOptions;
use std::path::Path;

use serde::de::DeserializeOwned;

use super::chain::{GENESIS, Running, sha256_hex};
use super::damage::{Damage, DamageKind};
use super::disk::{load, open_regular};
use super::error::JournalError;
use super::frame::{LINE_MAX, Place, Torn, is_sound};

/// How much of a cut-off declaration must be there to recognise it: eight digits of a hash. With
/// less, a damaged last line before a torn tail could pass for torn itself.
const TELLING: usize = r#"{"prev":""#.len() + 8;

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
    let mut walk = Walk { entries: Vec::new(), head: GENESIS.to_owned(), broken: None };
    let mut number = 1;
    while let Some(line) = lines.next() {
        let following = lines.peek().copied().unwrap_or(tail);
        walk.line(line, following).map_err(|kind| Damage { line: number, kind })?;
        number += 1;
    }
    walk.finish(tail).map_err(|kind| Damage { line: number, kind })
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

/// How far the reader has come.
struct Walk<T> {
    entries: Vec<T>,
    head: String,
    /// The broken bytes since the last whole line, as long as they may still turn out to be
    /// declared.
    broken: Option<Running>,
}

impl<T: DeserializeOwned> Walk<T> {
    /// Takes a line that ended in a newline. What follows decides whether it was torn: even a line
    /// that lacked nothing but its newline was.
    fn line(&mut self, line: &[u8], following: &[u8]) -> Result<(), DamageKind> {
        let n = self.entries.len() + 1;
        let before = self.broken.as_ref().map(Torn::from);
        let broken = self.broken_with(line);
        let torn = Torn::from(&broken);
        let declaration = Place { prev: &self.head, n, torn: Some(&torn) }.opening().into_bytes();
        let declared_in_part = following.len() >= TELLING && declaration.starts_with(following);
        if following.starts_with(&declaration) || (declared_in_part && !is_sound(line)) {
            self.broken = Some(broken);
            return Ok(());
        }
        let place = Place { prev: &self.head, n, torn: before.as_ref() };
        self.entries.push(place.entry(line)?);
        // Without broken bytes before it, what would be declared is this line alone: its hash is known already.
        self.head = if before.is_none() { torn.sha256 } else { sha256_hex(line) };
        self.broken = None;
        Ok(())
    }

    /// Takes what follows the last newline, often nothing.
    fn finish(self, tail: &[u8]) -> Result<Contents<T>, DamageKind> {
        if tail.len() > LINE_MAX {
            return Err(DamageKind::TooLong);
        }
        if self.entries.is_empty() {
            return Err(DamageKind::NothingRecorded);
        }
        let torn = (!tail.is_empty()).then(|| Torn::from(&self.broken_with(tail)));
        Ok(Contents { entries: self.entries, head: self.head, torn })
    }

    fn broken_with(&self, line: &[u8]) -> Running {
        let mut broken = self.broken.clone().unwrap_or_default();
        if self.broken.is_some() {
            broken.add(b"\n");
        }
        broken.add(line);
        broken
    }
}
