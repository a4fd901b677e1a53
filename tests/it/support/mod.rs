//! What the tests stand on: a bench with files on it, runs of the program without a terminal, a terminal with a person
//! at it, and records read back.

pub(crate) mod bench;
pub(crate) mod board;
pub(crate) mod call;
pub(crate) mod desk;
pub(crate) mod fed;
pub(crate) mod keys;
pub(crate) mod record;
pub(crate) mod rehearsal;
pub(crate) mod reported;
pub(crate) mod scpi_server;
pub(crate) mod shop;
pub(crate) mod source;
pub(crate) mod supply;
pub(crate) mod terminal;

/// Folder of the bundled procedures.
pub(crate) const PROCEDURES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/procedures");

/// The program under test.
pub(crate) const WATTSTEP: &str = env!("CARGO_BIN_EXE_wattstep");

/// One line of a text with all white space as single blanks: how a wrapped sentence is looked for.
pub(crate) fn unwrapped(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
