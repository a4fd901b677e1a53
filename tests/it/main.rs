//! Integration tests: the program as people and other programs meet it.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

mod bundled;
mod checking;
mod dependencies;
mod docs;
mod journal_script;
mod records;
mod session;
mod support;
mod usage;
