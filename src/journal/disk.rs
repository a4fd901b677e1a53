//! The disk under a journal, and opening files on it.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use super::damage::{Damage, DamageKind};
use super::error::JournalError;
use super::limits::{FILE_MAX, LINE_MAX};
use super::place::{Displaced, FilePlace};
use super::rescue::rescue;

/// How much is read at a time (bytes).
const PIECE: u64 = 1024 * 1024;

/// Where a journal's bytes go. A trait so that a disk can be made to fail.
pub trait Disk {
    /// Adds bytes at the end.
    ///
    /// # Errors
    /// Whatever the system says; some of the bytes may have been written.
    fn append(&mut self, bytes: &[u8]) -> io::Result<()>;

    /// Returns when everything appended is on the disk itself.
    ///
    /// # Errors
    /// Whatever the system says; what is on the disk is then unknown.
    fn sync(&mut self) -> io::Result<()>;

    /// Looks whether what was written, so many bytes, is still where it belongs.
    ///
    /// # Errors
    /// What has become of it.
    fn look(&self, written: u64) -> Result<(), Displaced> {
        let _ = written;
        Ok(())
    }

    /// Copies what was written to a place where it can be found, and gives that place.
    ///
    /// # Errors
    /// Whatever the system says.
    fn rescue(&self) -> io::Result<PathBuf> {
        Err(io::ErrorKind::Unsupported.into())
    }
}

/// A locked file, open for appending. The lock goes when this is dropped.
#[derive(Debug)]
pub struct FileDisk {
    file: File,
    place: FilePlace,
}

impl Disk for FileDisk {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.file.write_all(bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.file.sync_data()
    }

    fn look(&self, written: u64) -> Result<(), Displaced> {
        self.place.look(Some(written))
    }

    fn rescue(&self) -> io::Result<PathBuf> {
        rescue(&self.file, self.place.path())
    }
}

impl FileDisk {
    /// Takes a file that is open for reading and appending and locked.
    pub(super) fn locked(file: File, path: &Path) -> Result<Self, JournalError> {
        let place = FilePlace::of(&file, path).map_err(JournalError::io("look at", path))?;
        Ok(Self { file, place })
    }

    /// Makes a new file, which must not exist yet, and locks it.
    pub(super) fn create(path: &Path) -> Result<Self, JournalError> {
        let mut options = OpenOptions::new();
        let file =
            options.read(true).append(true).create_new(true).open(path).map_err(|cause| {
                if cause.kind() == io::ErrorKind::AlreadyExists {
                    JournalError::Exists { path: path.to_owned() }
                } else {
                    JournalError::io("create", path)(cause)
                }
            })?;
        lock(&file, path)?;
        Self::locked(file, path)
    }

    /// Opens a file that is there, locks it and gives its bytes.
    pub(super) fn open(path: &Path) -> Result<(Self, Vec<u8>), JournalError> {
        let mut file = open_regular(OpenOptions::new().read(true).append(true), path)?;
        lock(&file, path)?;
        // A killed program may have left lines that are written but not synced. A reader of them
        // goes on from them, so they must be on the disk first.
        file.sync_data().map_err(JournalError::io("sync", path))?;
        let bytes = load(&mut file, path)?;
        Ok((Self::locked(file, path)?, bytes))
    }
}

/// Tells whether a regular file is there. A link to nothing is not taken for nothing: a file was meant.
pub(super) fn is_there(path: &Path) -> Result<bool, JournalError> {
    // In what is no folder nothing is there either.
    let absent = |cause: &io::Error| {
        matches!(cause.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory)
    };
    match fs::symlink_metadata(path) {
        Err(cause) if absent(&cause) => return Ok(false),
        Err(cause) => return Err(JournalError::io("look at", path)(cause)),
        Ok(_) => {}
    }
    match fs::metadata(path) {
        Ok(found) if found.is_file() => Ok(true),
        Ok(_) => Err(JournalError::NotAFile { path: path.to_owned() }),
        Err(cause) if absent(&cause) => Err(JournalError::LinkToNothing { path: path.to_owned() }),
        Err(cause) => Err(JournalError::io("look at", path)(cause)),
    }
}

/// Opens a regular file; the check comes first because opening a pipe would wait for its other end.
pub(super) fn open_regular(options: &OpenOptions, path: &Path) -> Result<File, JournalError> {
    let found = fs::metadata(path).map_err(JournalError::io("open", path))?;
    if !found.is_file() {
        return Err(JournalError::NotAFile { path: path.to_owned() });
    }
    options.open(path).map_err(JournalError::io("open", path))
}

/// Reads a journal's bytes, up to the most it may have, and no more of a line than shows that it is too long.
pub(super) fn load(file: &mut File, path: &Path) -> Result<Vec<u8>, JournalError> {
    let full = || JournalError::Full { path: path.to_owned() };
    if file.metadata().map_err(JournalError::io("read", path))?.len() > FILE_MAX {
        return Err(full());
    }
    let mut bytes = Vec::new();
    let (mut lines, mut line_begins) = (0, 0);
    loop {
        let before = bytes.len();
        let piece = file.take(PIECE).read_to_end(&mut bytes);
        if piece.map_err(JournalError::io("read", path))? == 0 {
            return Ok(bytes);
        }
        if bytes.len() as u64 > FILE_MAX {
            return Err(full());
        }
        let added = bytes.get(before..).unwrap_or_default();
        lines += added.iter().filter(|byte| **byte == b'\n').count();
        let last = added.iter().rposition(|byte| *byte == b'\n');
        line_begins = last.map_or(line_begins, |at| before + at + 1);
        if bytes.len() - line_begins > LINE_MAX {
            let damage = Damage { line: lines + 1, kind: DamageKind::TooLong };
            return Err(JournalError::Damaged { path: path.to_owned(), damage });
        }
    }
}

fn lock(file: &File, path: &Path) -> Result<(), JournalError> {
    file.try_lock().map_err(|error| match error {
        TryLockError::WouldBlock => JournalError::Busy { path: path.to_owned() },
        TryLockError::Error(cause) => JournalError::io("lock", path)(cause),
    })
}
