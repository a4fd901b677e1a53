//! The register's file: read by anyone, added to by one program at a time.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use super::{Announcement, Index, PeopleApproval, REGISTER, Registration};
use crate::journal::disk::{FileDisk, is_there, open_regular};
use crate::journal::place::FilePlace;
use crate::journal::{Journal, JournalError, folder};

/// How long to wait for another bench to finish its line. It takes one sync.
const PATIENCE: Duration = Duration::from_secs(10);

const NAP: Duration = Duration::from_millis(10);

/// A register that is locked to be added to. The lock goes when this is dropped.
#[derive(Debug)]
pub struct Register {
    journal: Journal<FileDisk>,
    index: Index,
    place: FilePlace,
}

impl Register {
    /// Opens the register of a folder, which is made if it is missing, and locks it. Several
    /// benches may share a folder, so another one is waited for.
    ///
    /// # Errors
    /// When another program holds it for more than ten seconds, it is damaged, or the system
    /// refuses.
    pub fn open(folder: &Path) -> Result<Self, JournalError> {
        folder::ensure(folder)?;
        let path = folder.join(REGISTER);
        let is_new = !is_there(&path)?;
        let mut options = OpenOptions::new();
        options.read(true).append(true);
        let file = if is_new {
            options.create(true).open(&path).map_err(JournalError::io("create", &path))?
        } else {
            open_regular(&options, &path)?
        };
        lock(&file, &path)?;
        if is_new {
            folder::sync(folder)?;
        }
        // Another program may have been killed between writing and syncing what is gone on from.
        file.sync_data().map_err(JournalError::io("sync", &path))?;
        let reading = file.try_clone().map_err(JournalError::io("read", &path))?;
        let index = Index::of(reading, &path)?;
        let place = FilePlace::of(&file, &path).map_err(JournalError::io("look at", &path))?;
        let disk = FileDisk::locked(file, &path)?;
        let journal = Journal::going_on(disk, path, &index.chain);
        Ok(Self { journal, index, place })
    }

    /// Adds a line and returns when it is on the disk.
    ///
    /// # Errors
    /// When it could not be written or synced; the register then takes no more until it is opened
    /// again.
    pub fn add(&mut self, registration: Registration) -> Result<(), JournalError> {
        self.journal.append(&registration)?;
        self.index.add(registration);
        Ok(())
    }

    /// Adds that somebody approved a people file, and returns when it is on the disk.
    ///
    /// # Errors
    /// As for [`Register::add`].
    pub fn approve(&mut self, approval: PeopleApproval) -> Result<(), JournalError> {
        self.journal.append(&approval)?;
        self.index.approve(approval);
        Ok(())
    }

    /// Where its file has to stay.
    pub(in crate::journal) fn place(&self) -> FilePlace {
        self.place.clone()
    }

    /// What it says of each run.
    #[must_use]
    pub fn index(&self) -> &Index {
        &self.index
    }
}

/// Makes sure that a folder's register is a file, or that there is none yet and one can be made.
///
/// # Errors
/// What stands in its place.
pub fn may_be_opened(folder: &Path) -> Result<(), JournalError> {
    folder::ensure(folder)?;
    is_there(&folder.join(REGISTER)).map(drop)
}

/// Registers a run whose first line is about to be written, and gives the place of the register that knows it.
pub(in crate::journal) fn announce(
    record: &Path,
    announcement: Announcement,
    first: String,
) -> Result<FilePlace, JournalError> {
    let folder = record.parent().unwrap_or(Path::new(""));
    let mut register = Register::open(folder)?;
    register.add(announcement.with(first))?;
    Ok(register.place())
}

/// Keeps every other program from adding to a record, until dropped.
#[derive(Debug)]
pub struct RecordHold {
    _file: File,
}

impl RecordHold {
    /// Holds a record; nothing if another program has it open for writing.
    ///
    /// # Errors
    /// When the record cannot be opened or locked.
    pub fn on(record: &Path) -> Result<Option<Self>, JournalError> {
        let file = open_regular(OpenOptions::new().read(true), record)?;
        match file.try_lock() {
            Ok(()) => Ok(Some(Self { _file: file })),
            Err(TryLockError::WouldBlock) => Ok(None),
            Err(TryLockError::Error(cause)) => Err(JournalError::io("lock", record)(cause)),
        }
    }
}

fn lock(file: &File, path: &Path) -> Result<(), JournalError> {
    let began = Instant::now();
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(()),
            Err(TryLockError::WouldBlock) if began.elapsed() < PATIENCE => thread::sleep(NAP),
            Err(TryLockError::WouldBlock) => {
                return Err(JournalError::Busy { path: path.to_owned() });
            }
            Err(TryLockError::Error(cause)) => return Err(JournalError::io("lock", path)(cause)),
        }
    }
}
