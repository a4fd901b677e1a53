//! What the files of a record may be: their format, and the most of each.

/// The format that this program writes, and the latest it reads.
pub const FORMAT: u64 = 1;

/// The most bytes a line may have; a longer one is neither written nor read.
pub const LINE_MAX: usize = 16 * 1024 * 1024;

/// The most bytes a journal may have; a longer one is neither written nor read.
pub const FILE_MAX: u64 = 256 * 1024 * 1024;

/// The most bytes a file may have to be attached.
pub const ATTACHMENT_MAX: u64 = 256 * 1024 * 1024;
