//! The index: a SQLite file in the folder of the records, made again whenever it isn't what this program expects.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, ErrorCode, OpenFlags, ffi};

use super::error::ArchiveError;

/// Name of the index in the folder of the records.
pub const INDEX_NAME: &str = "archive-index.sqlite";

/// Version of the schema; an index of any other is made again.
const VERSION: i64 = 6;

/// How long another program that brings the index up to date is waited for.
const PATIENCE: Duration = Duration::from_secs(30);

/// The records of a folder, and what may be asked of them.
#[derive(Debug)]
pub struct Archive {
    pub(super) folder: PathBuf,
    pub(super) connection: Connection,
}

impl Archive {
    /// Opens the archive of a folder. Where nothing can be written there, the index is kept in memory for this once.
    ///
    /// # Errors
    /// When an index is there that can neither be used nor removed.
    pub fn open(folder: &Path) -> Result<Self, ArchiveError> {
        let path = folder.join(INDEX_NAME);
        let first = connect(&path);
        let connection = match first {
            Err(error) if is_broken(&error) => {
                remove(&path)?;
                connect(&path)
            }
            other => other,
        };
        let connection = match connection {
            Err(error) if is_unwritable(&error) => in_memory(),
            other => other,
        };
        let connection = connection.map_err(|cause| ArchiveError::Index { path, cause })?;
        Ok(Self { folder: folder.to_owned(), connection })
    }

    /// Removes the index of a folder and opens the archive, so that everything is read again.
    ///
    /// # Errors
    /// When the index can't be removed, and like [`Archive::open`].
    pub fn open_rebuilt(folder: &Path) -> Result<Self, ArchiveError> {
        remove(&folder.join(INDEX_NAME))?;
        Self::open(folder)
    }

    /// Makes the `map_err` closure that names the index.
    pub(super) fn error(&self) -> impl Fn(rusqlite::Error) -> ArchiveError {
        let path = self.folder.join(INDEX_NAME);
        move |cause| ArchiveError::Index { path: path.clone(), cause }
    }
}

fn connect(path: &Path) -> rusqlite::Result<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
        | OpenFlags::SQLITE_OPEN_CREATE
        | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags)?;
    // SQLite opens what it may not write without a word.
    if connection.is_readonly("main")? {
        return Err(failure(ffi::SQLITE_READONLY));
    }
    prepared(connection)
}

fn in_memory() -> rusqlite::Result<Connection> {
    prepared(Connection::open_in_memory()?)
}

/// Brings a connection to the schema of this program; an index of another version counts as broken.
fn prepared(mut connection: Connection) -> rusqlite::Result<Connection> {
    connection.busy_timeout(PATIENCE)?;
    // The journal stays where it is: its coming and going would change the folder, which is looked at for changes.
    connection.pragma_update(None, "journal_mode", "truncate")?;
    // In kB. Enough for the inner pages of a large index, far below what a small machine has.
    connection.pragma_update(None, "cache_size", -65_536)?;
    if version(&connection)? != VERSION {
        let transaction =
            connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        // Another program may have made it meanwhile.
        if version(&transaction)? != VERSION {
            transaction.execute_batch(include_str!("schema.sql"))?;
            transaction.pragma_update(None, "user_version", VERSION)?;
        }
        transaction.commit()?;
    }
    Ok(connection)
}

/// The version of the index; tables without a version of ours can't be added to, so they count as no index.
fn version(connection: &Connection) -> rusqlite::Result<i64> {
    // Tables first: another program makes both in one go, so what has tables by now has its version too.
    let tables: i64 =
        connection.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    let version: i64 = connection.query_row("PRAGMA user_version", [], |row| row.get(0))?;
    if version == VERSION || tables == 0 {
        return Ok(version);
    }
    Err(failure(ffi::SQLITE_NOTADB))
}

/// A failure that SQLite itself doesn't see as one.
fn failure(code: std::ffi::c_int) -> rusqlite::Error {
    rusqlite::Error::SqliteFailure(ffi::Error::new(code), None)
}

fn is_broken(error: &rusqlite::Error) -> bool {
    matches!(error.sqlite_error_code(), Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt))
}

fn is_unwritable(error: &rusqlite::Error) -> bool {
    matches!(
        error.sqlite_error_code(),
        Some(ErrorCode::CannotOpen | ErrorCode::ReadOnly | ErrorCode::PermissionDenied)
    )
}

/// Removes an index and what SQLite may have left beside it.
fn remove(path: &Path) -> Result<(), ArchiveError> {
    let mut journal = path.as_os_str().to_owned();
    journal.push("-journal");
    for path in [path.to_owned(), PathBuf::from(journal)] {
        match fs::remove_file(&path) {
            Err(cause) if cause.kind() != std::io::ErrorKind::NotFound => {
                return Err(ArchiveError::Broken { path, cause });
            }
            _ => {}
        }
    }
    Ok(())
}
