//! Why the simulator cannot be run at all.

use std::io;

/// Why no case can be worked out.
#[derive(Debug, thiserror::Error)]
pub enum EngineError {
    /// It is not there.
    #[error("{program} is not installed: a circuit needs the Debian package ngspice")]
    Missing {
        /// What was looked for.
        program: &'static str,
    },
    /// It is of a version that nobody tried.
    #[error(
        "ngspice {version} is too old: a circuit needs the Debian package ngspice of version {oldest} or later"
    )]
    TooOld {
        /// The version.
        version: u32,
        /// The oldest that is used.
        oldest: u32,
    },
    /// What is called so is something else.
    #[error(
        "what is called {program} here does not tell its version: a circuit needs the Debian package ngspice"
    )]
    Unknown {
        /// What was asked.
        program: &'static str,
    },
    /// No folder, no process.
    #[error("ngspice cannot be run: {0}")]
    System(#[from] io::Error),
}
