//! A line to keep outside the folder: what the register was on a day.

use std::fmt;
use std::path::Path;
use std::str::FromStr;

use chrono::{DateTime, FixedOffset};
use thiserror::Error;

use super::{Index, REGISTER};
use crate::journal::chain::is_hash;
use crate::journal::{JournalError, check_file};

/// The length and the last hash of a register on a day, short enough to print or to mail. The person who
/// keeps it can show later that the register was only added to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Digest {
    /// How many lines the register had.
    pub lines: usize,
    /// The hash of the last of them.
    pub head: String,
    /// When it was taken.
    pub at: DateTime<FixedOffset>,
}

/// How a register differs from a digest of it.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum NotExtended {
    /// It has fewer lines than it had.
    #[error(
        "REGISTER SHORTENED: it had {had} lines at the digest and has {found} now; \
             bring it back from a backup"
    )]
    Shortened {
        /// How many it had.
        had: usize,
        /// How many it has.
        found: usize,
    },
    /// Its lines up to the digest are other ones.
    #[error(
        "REGISTER REPLACED: its line {line} is not the one of the digest; \
             bring it back from a backup"
    )]
    Replaced {
        /// The line that the digest names.
        line: usize,
    },
}

/// A text is not a digest.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error(
    "this is not a digest; it looks like \
     \"wattstep register: 12 lines, head <64 hexadecimal digits>, 2026-03-02T09:15:00+01:00\""
)]
pub struct DigestError;

impl DigestError {
    /// Tells whether a text that is not a digest was meant as one.
    #[must_use]
    pub fn is_meant(text: &str) -> bool {
        text.trim_start().starts_with("wattstep register")
    }
}

impl Digest {
    /// Takes the digest of a register; nothing for one without a line.
    #[must_use]
    pub fn of(index: &Index, at: DateTime<FixedOffset>) -> Option<Self> {
        let (lines, head) = (index.chain.lines, index.chain.head.clone());
        (lines > 0).then_some(Self { lines, head, at })
    }

    /// Tells whether the register of a folder is that of the digest, with or without lines after
    /// it.
    ///
    /// # Errors
    /// When the register is damaged or cannot be read.
    pub fn is_extended_in(&self, folder: &Path) -> Result<Result<(), NotExtended>, JournalError> {
        let mut is_there = false;
        let chain = check_file(&folder.join(REGISTER), |line| {
            is_there |= line.n == self.lines && line.hash == self.head;
        })?;
        Ok(if is_there {
            Ok(())
        } else if chain.lines < self.lines {
            Err(NotExtended::Shortened { had: self.lines, found: chain.lines })
        } else {
            Err(NotExtended::Replaced { line: self.lines })
        })
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { lines, head, at } = self;
        write!(f, "wattstep register: {lines} lines, head {head}, {}", at.to_rfc3339())
    }
}

impl FromStr for Digest {
    type Err = DigestError;

    /// Reads a digest as it was printed; a mail program may have wrapped it.
    fn from_str(text: &str) -> Result<Self, DigestError> {
        let words: Vec<_> = text.split_whitespace().collect();
        let ["wattstep", "register:", lines, "lines,", "head", head, at] = words.as_slice() else {
            return Err(DigestError);
        };
        let lines = lines.parse().map_err(|_| DigestError)?;
        let head = head.strip_suffix(',').filter(|head| is_hash(head)).ok_or(DigestError)?;
        let at = DateTime::parse_from_rfc3339(at).map_err(|_| DigestError)?;
        Ok(Self { lines, head: head.to_owned(), at })
    }
}
