//! Walks a person through the first power after a repair, one judged step at a time, and keeps the record.
//!
//! The rooms and who may use whom are in `docs/architecture.md`; a test holds the table. They are closed to the outside, so
//! that the compiler sees what nothing uses.

pub(crate) mod archive;
pub(crate) mod audit;
pub(crate) mod bench;
pub(crate) mod circuit;
pub(crate) mod cli;
pub(crate) mod diagnostic;
pub(crate) mod formula;
pub(crate) mod journal;
pub(crate) mod netlist;
pub(crate) mod physics;
pub(crate) mod practice;
pub(crate) mod procedure;
pub(crate) mod quantity;
pub(crate) mod questionnaire;
pub(crate) mod record;
pub(crate) mod report;
pub(crate) mod runner;
pub(crate) mod shell;
pub(crate) mod signature;
pub(crate) mod sitting;
pub(crate) mod statistics;
pub mod test_points;
pub(crate) mod window;

pub use cli::run;
