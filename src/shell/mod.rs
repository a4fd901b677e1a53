//! The outside of the program: the terminal, files that people write, and failures that they are told of.
//!
//! May use: `diagnostic`, `record`, `procedure`, `signature`, `journal`. Not pure.
//!
//! Always true: no file is read further than such a file can go, none is written over, and what cannot be shown is no failure.

pub(crate) mod documents;
pub(crate) mod fault;
pub(crate) mod file;
pub(crate) mod file_findings;
pub(crate) mod shop;
pub(crate) mod terminal;
