//! What a file looks like from outside.

use std::fs::Metadata;
use std::os::unix::fs::MetadataExt as _;

/// What a file looks like from outside. A change of any of its bytes moves at least the time of change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stamp {
    pub(super) bytes: i64,
    pub(super) modified: i64,
    pub(super) changed: i64,
}

impl Stamp {
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
