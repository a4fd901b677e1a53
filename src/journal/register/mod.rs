//! The register: one journal beside the records that says which records there are and how long
//! they were, so that a record that is cut, emptied, rewritten, missing or foreign shows.
//!
//! It also says which people file the shop approved, and who did.
//!
//! Its lines are chained as those of a record are. A record vouches for what is in it; the register
//! vouches for its end. For the register's own end a [`Digest`] is kept outside the folder.

mod book;
mod compare;
mod digest;
mod first_seen;
mod index;
mod people;
mod registration;
mod standing;

#[cfg(test)]
mod tests;

pub(super) use book::announce;
pub use book::{RecordHold, Register, may_be_opened};
pub use compare::{CheckedChain, Wrong, compare};
pub use digest::{Digest, DigestError};
pub use first_seen::FirstSeen;
pub use index::{Index, Registered};
pub use people::PeopleApproval;
pub use registration::{Announcement, Change, RecordEnd, Registration};
pub use standing::{NO_REGISTER, RegisterStanding};

/// The name of the register's file in the folder of the records.
pub const REGISTER: &str = "register.jsonl";
