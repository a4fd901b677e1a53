//! What can go wrong between the journal and the disk.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::damage::Damage;
use super::limits::{ATTACHMENT_MAX, FILE_MAX, LINE_MAX};
use super::place::Displaced;

/// Why a journal or an attachment could not be written, opened or checked.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum JournalError {
    /// The system refused.
    #[error("cannot {doing} {}: {cause}", .path.display())]
    Io {
        /// What was tried, as a verb.
        doing: &'static str,
        /// The file or folder it was tried on.
        path: PathBuf,
        /// What the system said.
        cause: io::Error,
    },
    /// A run of this name has a record already.
    #[error("{} exists already; choose another name for the run, or resume it", .path.display())]
    Exists {
        /// The file that is in the way.
        path: PathBuf,
    },
    /// The record is locked.
    #[error("another program has this record open: {}; \
             close it there first", .path.display())]
    Busy {
        /// The locked file.
        path: PathBuf,
    },
    /// The record is damaged or of a newer format; nothing may be added to it.
    #[error("{}, {damage}", .path.display())]
    Damaged {
        /// The file that was read.
        path: PathBuf,
        /// What is wrong with it.
        damage: Damage,
    },
    /// An earlier failure closed the record.
    #[error("{} takes no more entries since a write failed; \
             make the equipment safe, then resume the run", .path.display())]
    Poisoned {
        /// The file that failed.
        path: PathBuf,
    },
    /// The record is no longer where it was opened.
    #[error("{} {displaced}. {}", .path.display(), kept_at(.rescued.as_deref(), .path))]
    Displaced {
        /// Where it was.
        path: PathBuf,
        /// What has become of it.
        displaced: Displaced,
        /// Where all of it was written once more, if that could be done.
        rescued: Option<PathBuf>,
    },
    /// The register of the folder is no longer where it was.
    #[error("the register {} {displaced}: \
             nothing shows any more that this record is whole. Bring the register back before \
             the run is taken up", .path.display())]
    RegisterDisplaced {
        /// Where it was.
        path: PathBuf,
        /// What has become of it.
        displaced: Displaced,
    },
    /// The entry could not be put into words of JSON.
    #[error("cannot write the entry as JSON: {cause}")]
    Entry {
        /// What serde said.
        cause: serde_json::Error,
    },
    /// The entry is longer than a reader would take.
    #[error(
        "an entry of {bytes} bytes is too long for one line of at most {LINE_MAX}; \
             attach a file instead"
    )]
    TooLong {
        /// The length of the line it would have made.
        bytes: usize,
    },
    /// The record is as long as a reader would take.
    #[error("{} would pass {FILE_MAX} bytes; go on in a new run", .path.display())]
    Full {
        /// The file that is full.
        path: PathBuf,
    },
    /// The name of a run would not stay in its folder or not be plain.
    #[error(
        "{name:?} cannot name a run; \
             use up to 100 letters, digits, `-`, `_` and `.`, starting with a letter or digit, \
             but not `register`"
    )]
    RunName {
        /// The name that was refused.
        name: String,
    },
    /// The path leads to a folder, a device or the like.
    #[error("{} is not a regular file; name a file", .path.display())]
    NotAFile {
        /// The path that was refused.
        path: PathBuf,
    },
    /// A symbolic link whose target is gone.
    #[error(
        "{} is a link to a file that is not there; bring its target back, or take the link away", .path.display()
    )]
    LinkToNothing {
        /// The link.
        path: PathBuf,
    },
    /// Something other than a folder where records belong.
    #[error("{} is not a folder; name one for the records", .path.display())]
    NotAFolder {
        /// The path that was refused.
        path: PathBuf,
    },
    /// The file is too big to be attached.
    #[error("{} has more than {ATTACHMENT_MAX} bytes and cannot be attached; \
             attach a shorter extract", .path.display())]
    AttachmentTooBig {
        /// The file that was refused.
        path: PathBuf,
    },
    /// The record names an attachment by something that is no hash.
    #[error("{text:?} is not the hash of an attachment; the record that names it needs checking")]
    AttachmentHash {
        /// The text found in place of a hash.
        text: String,
    },
    /// The attachment is not there.
    #[error("the attachment {} is missing; bring it back from a backup", .path.display())]
    AttachmentMissing {
        /// Where it should be.
        path: PathBuf,
    },
    /// The attachment is not what was attached.
    #[error("the attachment {} was changed after it was attached; \
             keep it as it is and compare it with a backup", .path.display())]
    AttachmentAltered {
        /// The file that was changed.
        path: PathBuf,
    },
}

/// Where the lines of a record that was displaced are to be found.
fn kept_at(rescued: Option<&Path>, path: &Path) -> String {
    match rescued {
        Some(rescued) if rescued == path => {
            "All of it was written once more at its place: the run can be taken up from there"
                .to_owned()
        }
        Some(rescued) => format!(
            "All of it is kept in {}: move that to {} before the run is taken up",
            rescued.display(),
            path.display()
        ),
        None => "It could not be saved: look for it, or bring it back from a backup".to_owned(),
    }
}

impl JournalError {
    /// Makes the `map_err` closure that names what was tried on which path.
    pub(super) fn io(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> Self {
        move |cause| Self::Io { doing, path: path.to_owned(), cause }
    }
}
