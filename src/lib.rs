//! Walks a person through the first power after a repair, one judged step at a time, and keeps the record.
//!
//! The rooms and who may use whom are in `docs/architecture.md`; a test holds the table.

pub mod archive;
pub mod bench;
pub mod cli;
pub mod diagnostic;
pub mod formula;
pub mod journal;
pub mod physics;
pub mod procedure;
pub mod quantity;
pub mod record;
pub mod report;
pub mod runner;
pub mod signature;
pub mod statistics;
pub mod window;
