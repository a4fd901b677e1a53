//! Checks a journal line by line from its file: every hash and the chain, in little memory.

use std::fs::{File, OpenOptions};
use std::io::{BufRead, BufReader, Read};
use std::path::Path;

use super::damage::Damage;
use super::disk::open_regular;
use super::error::JournalError;
use super::frame::Torn;
use super::limits::{FILE_MAX, LINE_MAX};
use super::walk::JournalWalk;

/// How much is read from the disk at a time (bytes).
const PIECE: usize = 128 * 1024;

/// What a chain that holds comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chain {
    /// How many whole lines it has; none when nothing was recorded.
    pub lines: usize,
    /// The hash of the last whole line, or [`GENESIS`](super::GENESIS) when there is none.
    pub head: String,
    /// What a write that was cut off left after the last whole line.
    pub torn: Option<Torn>,
    /// How many bytes the file has.
    pub bytes: u64,
}

/// A line that is sound and in its place.
#[derive(Debug, Clone, Copy)]
pub struct Line<'a> {
    /// Its number, from 1.
    pub n: usize,
    /// The hash of the whole line.
    pub hash: &'a str,
    /// The bytes of its entry, as JSON that was not looked into.
    pub entry: &'a [u8],
}

/// Checks the hashes and the chain of a journal and shows each line as it passes. The file may be
/// open elsewhere; a line being written meanwhile is a torn tail.
///
/// What an entry holds is not looked into, so this is far quicker than
/// [`read_file`](super::read_file) and needs no more memory than the longest line. A file in which
/// nothing was recorded is a chain without a line.
///
/// # Errors
/// When the file cannot be read, or is damaged.
pub fn check_file(path: &Path, see: impl FnMut(Line<'_>)) -> Result<Chain, JournalError> {
    check(open_regular(OpenOptions::new().read(true), path)?, path, see)
}

/// Checks a journal that is open.
pub(super) fn check(
    file: File,
    path: &Path,
    mut see: impl FnMut(Line<'_>),
) -> Result<Chain, JournalError> {
    let mut lines = Lines { reader: BufReader::with_capacity(PIECE, file), bytes: 0 };
    let (mut line, mut following) = (Vec::new(), Vec::new());
    let mut walk = JournalWalk::default();
    let cannot = || JournalError::io("read", path);
    lines.next(&mut line).map_err(cannot())?;
    for number in 1.. {
        let damaged = |kind| JournalError::Damaged {
            path: path.to_owned(),
            damage: Damage { line: number, kind },
        };
        let Some(whole) = line.strip_suffix(b"\n") else {
            let torn = walk.tail(&line).map_err(damaged)?;
            return Ok(Chain {
                lines: walk.lines(),
                head: walk.head().to_owned(),
                torn,
                bytes: lines.bytes,
            });
        };
        lines.next(&mut following).map_err(cannot())?;
        if lines.bytes > FILE_MAX {
            break;
        }
        let next = following.strip_suffix(b"\n").unwrap_or(&following);
        if let Some(taken) = walk.line(whole, next).map_err(damaged)? {
            see(Line { n: walk.lines(), hash: walk.head(), entry: taken.bytes() });
        }
        std::mem::swap(&mut line, &mut following);
    }
    Err(JournalError::Full { path: path.to_owned() })
}

/// The lines of a file, one at a time.
struct Lines {
    reader: BufReader<File>,
    bytes: u64,
}

impl Lines {
    /// Reads the next line with its newline, and no more of it than shows that it is too long.
    fn next(&mut self, into: &mut Vec<u8>) -> std::io::Result<()> {
        into.clear();
        let most = LINE_MAX as u64 + 2;
        let read = self.reader.by_ref().take(most).read_until(b'\n', into)?;
        self.bytes += read as u64;
        Ok(())
    }
}
