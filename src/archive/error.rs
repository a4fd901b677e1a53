//! What keeps the archive from answering.

use std::path::PathBuf;

use thiserror::Error;

use crate::journal::JournalError;

/// Why the archive could not answer.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum ArchiveError {
    /// The folder of the records could not be listed.
    #[error(transparent)]
    Journal(#[from] JournalError),
    /// The index could not be used.
    #[error("cannot use the index {}: {cause}; close other programs that use it, or delete it: it is made again", .path.display())]
    Index {
        /// The index.
        path: PathBuf,
        /// What SQLite said.
        cause: rusqlite::Error,
    },
    /// The index is no index and could not be removed.
    #[error("cannot remove the broken index {}: {cause}; delete it yourself: it is made again", .path.display())]
    Broken {
        /// The index.
        path: PathBuf,
        /// What the system said.
        cause: std::io::Error,
    },
}
