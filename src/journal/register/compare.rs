//! A record against what the register says of it.

use std::path::Path;

use thiserror::Error;

use super::Registered;
use crate::journal::disk::is_there;
use crate::journal::{Chain, Damage, DamageKind, GENESIS, JournalError, Line, Torn, check_file};

/// What is wrong with a record.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum Wrong {
    /// A line does not hold.
    #[error(transparent)]
    Damaged(#[from] Damage),
    /// It is not in the register.
    #[error(
        "NOT REGISTERED: the register beside it does not know this record; \
             take it out of the folder, or take it over with `wattstep register --adopt`"
    )]
    Unregistered,
    /// There is no such file.
    #[error(
        "MISSING: the register knows this record, but its file is gone; \
             bring it back from a backup"
    )]
    Missing,
    /// There are no lines where some are registered.
    #[error(
        "EMPTIED: {registered} lines are registered and the file has none; \
             bring it back from a backup"
    )]
    Emptied {
        /// How many lines are registered.
        registered: usize,
    },
    /// Its last lines are not there.
    #[error(
        "CUT: {registered} lines are registered and the file has {found}; \
             bring it back from a backup"
    )]
    Cut {
        /// How many lines are registered.
        registered: usize,
        /// How many whole lines there are.
        found: usize,
    },
    /// Its chain holds, but it is not the registered one.
    #[error(
        "REWRITTEN: line {line} is sound, but it is not the line that was registered ({}); \
             bring it back from a backup",
        kept_words(*kept)
    )]
    Rebuilt {
        /// The first registered line that is another one.
        line: usize,
        /// The last registered line that is still there; 0 for none.
        kept: usize,
    },
    /// Lines follow where the run was registered to have ended.
    #[error(
        "ADDED TO: {registered} lines are registered and the file has {found}; look at the new \
             lines, and take them over with `wattstep register --adopt` if they are right"
    )]
    Added {
        /// How many lines are registered.
        registered: usize,
        /// How many whole lines there are.
        found: usize,
    },
    /// Bytes that are no line stand behind its registered end, where none or others belong.
    #[error(
        "BYTES AFTER ITS END: {found} bytes follow line {lines}, where it is registered to have ended, and {registered} \
             belong there; no write of the program left them; keep the file as it is and bring it back from a backup, or \
             take them over with `wattstep register --adopt` if you know where they are from"
    )]
    BytesAfter {
        /// How many lines it has.
        lines: usize,
        /// How many bytes follow them.
        found: u64,
        /// How many are registered.
        registered: u64,
    },
    /// It was opened and holds nothing.
    #[error(
        "NOTHING RECORDED: the run was opened, but the file has no line; either it was stopped \
             before the first one, or it was emptied; `wattstep register` writes that down"
    )]
    NeverBegun,
}

fn kept_words(kept: usize) -> String {
    if kept == 0 { "nor is any before".to_owned() } else { format!("line {kept} still is") }
}

/// A record whose hashes were checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckedChain {
    /// Its chain, as far as it holds.
    pub chain: Option<Chain>,
    /// The first thing that is wrong.
    pub wrong: Option<Wrong>,
}

impl CheckedChain {
    fn wrong(wrong: Wrong) -> Self {
        Self { chain: None, wrong: Some(wrong) }
    }
}

/// Checks the hashes and the chain of a record, and its ends against the register; `None` leaves the
/// register out. Every line is shown as it passes.
///
/// # Errors
/// When the file is there and cannot be read.
pub fn compare(
    record: &Path,
    registered: Option<&Registered>,
    mut see: impl FnMut(Line<'_>),
) -> Result<CheckedChain, JournalError> {
    if !is_there(record)? {
        return Ok(CheckedChain::wrong(Wrong::Missing));
    }
    let mut marks = RegisteredLines::of(registered);
    let checked = check_file(record, |line| {
        marks.pass(line);
        see(line);
    });
    let chain = match checked {
        Ok(chain) => chain,
        Err(JournalError::Damaged { damage, .. }) => return Ok(CheckedChain::wrong(damage.into())),
        Err(other) => return Err(other),
    };
    let wrong = match registered {
        Some(registered) => marks.other.or_else(|| ending(registered, &chain)),
        None => nothing_recorded(&chain),
    };
    Ok(CheckedChain { chain: Some(chain), wrong })
}

/// A record without a line, where no register says that it should have none.
fn nothing_recorded(chain: &Chain) -> Option<Wrong> {
    let kind = if chain.bytes == 0 { DamageKind::Empty } else { DamageKind::NothingRecorded };
    (chain.lines == 0).then_some(Wrong::Damaged(Damage { line: 1, kind }))
}

/// What is wrong with where a record ends.
fn ending(registered: &Registered, chain: &Chain) -> Option<Wrong> {
    let found = chain.lines;
    let most = registered.ends.iter().map(|end| end.lines).max();
    let Some(due) = most else {
        return (found == 0).then_some(Wrong::NeverBegun);
    };
    if found == 0 && due > 0 {
        Some(Wrong::Emptied { registered: due })
    } else if found < due {
        Some(Wrong::Cut { registered: due, found })
    } else if found > due && !registered.is_open {
        Some(Wrong::Added { registered: due, found })
    } else {
        behind(registered, chain)
    }
}

/// What is wrong with the bytes behind the last line. While lines may follow, a write may have been cut off there.
fn behind(registered: &Registered, chain: &Chain) -> Option<Wrong> {
    let due = registered.ends.last().and_then(|end| end.torn.as_ref());
    let bytes = |torn: Option<&Torn>| torn.map_or(0, |torn| torn.bytes);
    let (found, registered_bytes) = (bytes(chain.torn.as_ref()), bytes(due));
    let is_other = !registered.is_open && chain.torn.as_ref() != due;
    is_other.then_some(Wrong::BytesAfter {
        lines: chain.lines,
        found,
        registered: registered_bytes,
    })
}

/// The registered lines, to be met on the way through a record.
struct RegisteredLines<'a> {
    /// Number and hash, by number.
    due: std::iter::Peekable<std::vec::IntoIter<(usize, &'a str)>>,
    kept: usize,
    other: Option<Wrong>,
}

impl<'a> RegisteredLines<'a> {
    fn of(registered: Option<&'a Registered>) -> Self {
        let first = registered.and_then(|registered| registered.first.as_deref());
        let ends = registered.into_iter().flat_map(|registered| &registered.ends);
        let ends = ends.map(|end| (end.lines, end.head.as_str()));
        let mut due: Vec<_> = first.map(|hash| (1, hash)).into_iter().chain(ends).collect();
        due.retain(|(_, hash)| *hash != GENESIS);
        due.sort_unstable();
        due.dedup();
        Self { due: due.into_iter().peekable(), kept: 0, other: None }
    }

    fn pass(&mut self, line: Line<'_>) {
        while let Some((n, hash)) = self.due.next_if(|(n, _)| *n <= line.n) {
            if n == line.n && hash == line.hash {
                self.kept = n;
            } else if self.other.is_none() {
                self.other = Some(Wrong::Rebuilt { line: n, kept: self.kept });
            }
        }
    }
}
