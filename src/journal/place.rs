//! Whether a file that is open is still the one at its place: others may delete, rename, replace or change it meanwhile.

use std::fmt;
use std::fs::{self, File, Metadata};
use std::io;
use std::os::unix::fs::MetadataExt as _;
use std::path::{Path, PathBuf};

/// Which file it is, whatever its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Identity {
    device: u64,
    inode: u64,
}

impl Identity {
    fn of(found: &Metadata) -> Self {
        Self { device: found.dev(), inode: found.ino() }
    }
}

/// A file that has to stay where it was opened.
#[derive(Clone, Debug)]
pub(super) struct FilePlace {
    path: PathBuf,
    identity: Identity,
}

/// What has become of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Displaced {
    /// Nothing is there any more: it was deleted or renamed, or its folder was.
    Gone,
    /// Another file is there.
    Replaced,
    /// It has not the bytes that were written: it was cut, or someone else added to it.
    Changed {
        /// How many bytes it has.
        bytes: u64,
        /// How many were written.
        written: u64,
    },
}

impl fmt::Display for Displaced {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Gone => write!(f, "was deleted or moved while it was open"),
            Self::Replaced => write!(f, "was replaced by another file while it was open"),
            Self::Changed { bytes, written } => {
                write!(
                    f,
                    "has {bytes} bytes where {written} were written: something else changed it"
                )
            }
        }
    }
}

impl FilePlace {
    /// The place of an open file.
    pub(super) fn of(file: &File, path: &Path) -> io::Result<Self> {
        Ok(Self { path: path.to_owned(), identity: Identity::of(&file.metadata()?) })
    }

    /// Where that is.
    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// Looks whether the file is still there, with these bytes in it if they are known.
    pub(super) fn look(&self, written: Option<u64>) -> Result<(), Displaced> {
        // What can't be looked at can't be shown to be there.
        let found = fs::metadata(&self.path).map_err(|_| Displaced::Gone)?;
        if Identity::of(&found) != self.identity {
            return Err(Displaced::Replaced);
        }
        match written {
            Some(written) if found.len() != written => {
                Err(Displaced::Changed { bytes: found.len(), written })
            }
            _ => Ok(()),
        }
    }
}
