//! Why nothing is told of a circuit, and why the simulator cannot be run at all.

use std::io;

use super::answer::CaseError;

/// Why nothing is told of a circuit.
#[derive(Debug, thiserror::Error)]
pub enum CircuitError {
    /// The circuit is of other equipment.
    #[error("the circuit is of equipment for `{circuit}`, not for `{procedure}`")]
    OtherProcedure {
        /// The procedure of the circuit file.
        circuit: String,
        /// The procedure that is rehearsed.
        procedure: String,
    },
    /// The procedure never feeds this circuit.
    #[error("no stage of the procedure feeds a source of the circuit file")]
    NeverFed,
    /// Nothing says how far a sound set is off.
    #[error("the circuit file has no `tolerances`, so every set would read the same")]
    NoTolerance,
    /// Something of the files can't be worked out.
    #[error("{0}")]
    Unworkable(String),
    /// The sound circuit already is outside of a window.
    #[error(
        "the sound circuit is stopped at `{step}` ({reads}): then every fault is, and nothing is told of the procedure"
    )]
    SoundIsStopped {
        /// The step.
        step: String,
        /// What is read there, and the window.
        reads: String,
    },
    /// A state of the circuit has no operating point.
    #[error("{0}")]
    Case(#[from] CaseError),
    /// The simulator can't be run.
    #[error("{0}")]
    Engine(#[from] EngineError),
}

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
    /// It starts, and finishes nothing.
    #[error(
        "{program} starts and finishes no case: see that `{program} --version` answers, and install the Debian package ngspice again"
    )]
    Idle {
        /// What was run.
        program: &'static str,
    },
    /// No folder, no process.
    #[error("ngspice cannot be run: {0}")]
    System(#[from] io::Error),
}
