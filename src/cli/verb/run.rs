//! `run`: a procedure from its start.

use std::path::PathBuf;

use super::Records;
use crate::cli::exit::Exit;
use crate::cli::fault::Fault;
use crate::cli::file::{self, Document};
use crate::cli::opening;
use crate::cli::rehearsal::{self, Wanted};
use crate::cli::staff::Staff;
use crate::diagnostic::nearest;
use crate::procedure::bundled;

/// Run a procedure on one piece of equipment
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// A procedure file, or the name of a bundled procedure
    procedure: PathBuf,
    /// Facts about the equipment; what it lacks is asked for
    #[arg(long, value_name = "FILE")]
    equipment: Option<PathBuf>,
    /// Facts about the bench: its instruments, how to reach them and how well they measure; `simulated` for a rehearsal
    #[arg(long, value_name = "FILE")]
    bench: Option<PathBuf>,
    /// The shop's people: who may do what, and who has to be there
    #[arg(long, value_name = "FILE")]
    people: Option<PathBuf>,
    /// What is wrong with the equipment on the simulated bench
    #[arg(long, value_name = "NAME")]
    fault: Option<String>,
    /// The model of the equipment on the simulated bench, for a procedure of your own
    #[arg(long, value_name = "FILE")]
    model: Option<PathBuf>,
    /// Write down here what the simulated instruments are told
    #[arg(long, value_name = "FILE")]
    simulated_log: Option<PathBuf>,
    /// Who is at the bench
    #[arg(long, value_name = "NAME")]
    operator: Option<String>,
    #[command(flatten)]
    records: Records,
    /// Answers from a file instead of a person; the record says so
    #[arg(long, value_name = "FILE")]
    answers: Option<PathBuf>,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let mut files = opening::files(
        procedure(&arguments.procedure)?,
        arguments.equipment.as_deref(),
        arguments.bench.as_deref(),
        Wanted {
            fault: arguments.fault.as_deref(),
            model: arguments.model.as_deref(),
            log: arguments.simulated_log.as_deref(),
        },
    )?;
    files.staff = arguments.people.as_deref().map(Staff::read).transpose()?;
    let answers = arguments.answers.as_deref();
    let mut answering = opening::answering(arguments.operator.as_deref(), answers)?;
    answering.fit(&files)?;
    let log = arguments.simulated_log.as_deref();
    opening::start(files, &arguments.records.records, answering, log)
}

/// Reads a procedure from its file, or takes the bundled one of that name.
pub(in crate::cli) fn procedure(path: &std::path::Path) -> Result<Document, Fault> {
    let bundled = path.to_str().and_then(bundled::text);
    match bundled.filter(|_| !path.exists()) {
        Some(text) => Ok(rehearsal::own(&path.display().to_string(), text)),
        None if path.exists() => file::read(path),
        None => file::read(path).map_err(|fault| fault.help(bundled_help(path))),
    }
}

/// What may have been meant by a procedure that is no file.
fn bundled_help(path: &std::path::Path) -> String {
    let name = path.to_string_lossy();
    match nearest(&name, bundled::NAMES.iter().copied()) {
        Some(meant) => format!("did you mean the bundled `{meant}`?"),
        None => format!("the bundled procedures are {}", bundled::NAMES.join(", ")),
    }
}
