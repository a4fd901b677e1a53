//! The journal: one run, one file of JSON lines, chained by hash.
//!
//! For: writing entries so that they are on the disk before the run goes on, reading them back, and
//! telling a torn tail (a write that was cut off) from damage (bytes that changed afterwards). Also
//! copies of files that belong to a run, and the register of runs, a journal of its own. The layout
//! of a line is in `docs/journal-format.md`.
//!
//! May use: `record`. The journal does not know what an entry of a run means; the register shares
//! its words for modes and outcomes.
//!
//! Always true:
//! - nothing written is ever changed, moved or cut, a torn tail included;
//! - an entry counts as written only after the disk was told to sync it;
//! - after any failure a journal takes no more entries;
//! - a record that is no longer at its place, or a register that is gone, is found at the next entry, and what was written is
//!   kept;
//! - reading never writes, and never gives an entry whose bytes, place and chain were not checked.

mod attachment;
mod chain;
mod damage;
mod disk;
mod error;
mod folder;
mod frame;
mod limits;
mod place;
mod reader;
pub mod register;
mod rescue;
mod stream;
mod walk;
mod writer;

#[cfg(test)]
mod tests;

pub use attachment::{attach, check_attachment};
pub use chain::{GENESIS, sha256_hex};
pub use damage::{Damage, DamageKind};
pub use disk::{Disk, FileDisk};
pub use error::JournalError;
pub use folder::list;
pub use frame::Torn;
pub use limits::FORMAT;
pub use place::Displaced;
pub use reader::{read, read_file};
pub use stream::{Chain, Line, check_file};
pub use writer::Journal;
