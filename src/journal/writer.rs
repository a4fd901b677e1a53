//! Appending entries to a journal, each on the disk before the next.

use std::path::{Path, PathBuf};

use serde::Serialize;
use serde::de::DeserializeOwned;

use super::chain::{GENESIS, sha256_hex};
use super::disk::{Disk, FileDisk};
use super::error::JournalError;
use super::folder;
use super::frame::{self, Torn};
use super::limits::{FILE_MAX, LINE_MAX};
use super::place::{Displaced, FilePlace};
use super::reader::{Contents, read};
use super::register::{Announcement, Register, announce};
use super::stream::Chain;

/// A journal that takes entries.
#[derive(Debug)]
pub struct Journal<D> {
    disk: D,
    path: PathBuf,
    head: String,
    lines: usize,
    bytes: u64,
    torn: Option<Torn>,
    /// What the register is still to be told before the first line.
    announcement: Option<Announcement>,
    /// The register that knows of it, where it has to stay.
    register: Option<FilePlace>,
    poisoned: bool,
}

impl Journal<FileDisk> {
    /// Starts the journal of a run in a folder, which is made if it is missing.
    ///
    /// # Errors
    /// When the run has a journal already, its name is not plain, or the system refuses.
    pub fn create(folder: &Path, run: &str) -> Result<Self, JournalError> {
        let path = folder::journal(folder, run)?;
        folder::ensure(folder)?;
        let disk = FileDisk::create(&path)?;
        folder::sync(folder)?;
        Ok(Self::over(disk, path))
    }

    /// Opens a journal to go on with it, and gives what it holds.
    ///
    /// A torn tail stays where it is: the next line declares it, and the next entry should tell of
    /// it too.
    ///
    /// # Errors
    /// When another program has it open, it is damaged or of a newer format, or the system refuses.
    pub fn resume<T: DeserializeOwned>(path: &Path) -> Result<(Self, Contents<T>), JournalError> {
        let (disk, bytes) = FileDisk::open(path)?;
        let contents: Contents<T> = read(&bytes)
            .map_err(|damage| JournalError::Damaged { path: path.to_owned(), damage })?;
        let journal = Self {
            head: contents.head.clone(),
            lines: contents.entries.len(),
            bytes: bytes.len() as u64,
            torn: contents.torn.clone(),
            ..Self::over(disk, path.to_owned())
        };
        Ok((journal, contents))
    }

    /// Has the register that knows of this record stay where it is.
    #[must_use]
    pub fn known_to(self, register: &Register) -> Self {
        Self { register: Some(register.place()), ..self }
    }

    /// Has the run registered before its first entry is written, with the hash of that line. If it
    /// can't be, the entry is not written either, and the journal takes no more.
    #[must_use]
    pub fn announcing(self, announcement: Announcement) -> Self {
        Self { announcement: Some(announcement), ..self }
    }
}

impl<D: Disk> Journal<D> {
    /// Starts a journal over a disk that has nothing on it; the path is for messages alone.
    pub fn over(disk: D, path: PathBuf) -> Self {
        let head = GENESIS.to_owned();
        let (torn, announcement, register) = (None, None, None);
        Self { disk, path, head, lines: 0, bytes: 0, torn, announcement, register, poisoned: false }
    }

    /// Goes on with a journal over a disk that has this chain on it.
    pub(super) fn going_on(disk: D, path: PathBuf, chain: &Chain) -> Self {
        Self {
            head: chain.head.clone(),
            lines: chain.lines,
            bytes: chain.bytes,
            torn: chain.torn.clone(),
            ..Self::over(disk, path)
        }
    }

    /// Writes an entry and returns when it is on the disk.
    ///
    /// # Errors
    /// When it could not be written or synced; the journal then takes no more entries, because what
    /// is on the disk is unknown until it is read again.
    pub fn append<T: Serialize + ?Sized>(&mut self, entry: &T) -> Result<(), JournalError> {
        // Poisoned until all is well, so that no way out of here can forget it.
        if std::mem::replace(&mut self.poisoned, true) {
            return Err(JournalError::Poisoned { path: self.path.clone() });
        }
        let line = self.frame(entry)?;
        let head = sha256_hex(&line);
        if let Some(announcement) = self.announcement.take() {
            self.register = Some(announce(&self.path, announcement, head.clone())?);
        }
        let displaced = self.write(line)?;
        self.head = head;
        self.lines += 1;
        self.torn = None;
        displaced.map_or(Ok(()), |displaced| Err(self.displaced(displaced)))?;
        self.register_is_there()?;
        self.poisoned = false;
        Ok(())
    }

    /// Looks whether the record and its register are still where they were opened.
    ///
    /// # Errors
    /// What has become of them; a record that is gone is written once more first.
    pub fn is_there(&self) -> Result<(), JournalError> {
        self.disk.look(self.bytes).map_err(|displaced| self.displaced(displaced))?;
        self.register_is_there()
    }

    fn register_is_there(&self) -> Result<(), JournalError> {
        let Some(register) = &self.register else { return Ok(()) };
        let path = register.path().to_owned();
        // Other benches add to it.
        let looked = register.look(None);
        looked.map_err(|displaced| JournalError::RegisterDisplaced { path, displaced })
    }

    fn displaced(&self, displaced: Displaced) -> JournalError {
        let path = self.path.clone();
        let rescued = match displaced {
            // What is left of it is what is there.
            Displaced::Changed { .. } => None,
            Displaced::Gone | Displaced::Replaced => self.disk.rescue().ok(),
        };
        JournalError::Displaced { path, displaced, rescued }
    }

    /// Where the journal is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The hash of the last whole line, or `GENESIS` before the first.
    pub fn head(&self) -> &str {
        &self.head
    }

    /// How many whole lines it has.
    pub fn lines(&self) -> usize {
        self.lines
    }

    fn frame<T: Serialize + ?Sized>(&self, entry: &T) -> Result<Vec<u8>, JournalError> {
        let entry = serde_json::to_vec(entry).map_err(|cause| JournalError::Entry { cause })?;
        let place =
            frame::LinePlace { prev: &self.head, n: self.lines + 1, torn: self.torn.as_ref() };
        let line = place.line(&entry);
        if line.len() > LINE_MAX {
            return Err(JournalError::TooLong { bytes: line.len() });
        }
        Ok(line)
    }

    /// Hands everything to the disk in one piece, so that a cut-off write leaves one torn piece. A file that is no longer
    /// at its place still takes it, whatever its name is now: no entry is lost.
    fn write(&mut self, mut line: Vec<u8>) -> Result<Option<Displaced>, JournalError> {
        if self.torn.is_some() {
            line.insert(0, b'\n');
        }
        line.push(b'\n');
        let bytes = self.bytes + line.len() as u64;
        if bytes > FILE_MAX {
            return Err(JournalError::Full { path: self.path.clone() });
        }
        let displaced = self.disk.look(self.bytes).err();
        if let Some(displaced @ Displaced::Changed { .. }) = displaced {
            return Err(self.displaced(displaced));
        }
        self.disk.append(&line).map_err(JournalError::io("write", &self.path))?;
        self.disk.sync().map_err(JournalError::io("sync", &self.path))?;
        self.bytes = bytes;
        Ok(displaced)
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;

    #[test]
    fn an_entry_that_would_pass_the_limit_is_not_written() {
        let folder = tempfile::tempdir().unwrap();
        let mut journal = Journal::create(folder.path(), "run-1").unwrap();
        journal.bytes = FILE_MAX - 10;
        assert!(matches!(journal.append("entry"), Err(JournalError::Full { .. })));
        assert!(matches!(journal.append("entry"), Err(JournalError::Poisoned { .. })));
        assert_eq!(std::fs::read(journal.path()).unwrap(), b"");
    }
}
