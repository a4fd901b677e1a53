//! What a file looks like from outside.

use std::fs::Metadata;
use std::os::unix::fs::MetadataExt as _;
use std::path::Path;

/// What a file looks like from outside. A change of any of its bytes moves at least the time of change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stamp {
    pub(super) bytes: i64,
    pub(super) modified: i64,
    pub(super) changed: i64,
}

impl Stamp {
    /// That of whatever stands at a path, a link to nothing itself; nothing where there is nothing.
    pub(super) fn at(path: &Path) -> Option<Self> {
        let found = path.metadata().or_else(|_| path.symlink_metadata());
        found.ok().map(|found| Self::of(&found))
    }

    pub(super) fn of(found: &Metadata) -> Self {
        let nanoseconds =
            |seconds: i64, rest: i64| seconds.wrapping_mul(1_000_000_000).wrapping_add(rest);
        Self {
            bytes: found.size().cast_signed(),
            modified: nanoseconds(found.mtime(), found.mtime_nsec()),
            changed: nanoseconds(found.ctime(), found.ctime_nsec()),
        }
    }
}
