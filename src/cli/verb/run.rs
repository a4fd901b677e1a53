//! `run`: a procedure from its start.

use std::path::PathBuf;

use super::Records;
use crate::cli::exit::Exit;
use crate::cli::fault::Fault;
use crate::cli::file::{self, Document};
use crate::cli::opening;
use crate::procedure::bundled;
use crate::record::Provided;

/// Run a procedure on one piece of equipment
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// A procedure file, or the name of a bundled procedure
    procedure: PathBuf,
    /// Facts about the equipment; what it lacks is asked for
    #[arg(long, value_name = "FILE")]
    equipment: Option<PathBuf>,
    /// Facts about the bench: its meters and how well they measure
    #[arg(long, value_name = "FILE")]
    bench: Option<PathBuf>,
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
    let files = opening::files(
        procedure(&arguments.procedure)?,
        arguments.equipment.as_deref(),
        arguments.bench.as_deref(),
    )?;
    let answering =
        opening::answering(arguments.operator.as_deref(), arguments.answers.as_deref())?;
    opening::start(files, &arguments.records.records, answering)
}

/// Reads a procedure from its file, or takes the bundled one of that name.
pub(in crate::cli) fn procedure(path: &std::path::Path) -> Result<Document, Fault> {
    let bundled = path.to_str().and_then(bundled::text);
    match bundled.filter(|_| !path.exists()) {
        Some(text) => {
            let sha256 = crate::journal::sha256_hex(text.as_bytes());
            let name = format!("{} (bundled)", path.display());
            let file = Provided { name: name.clone(), sha256, text: text.to_owned() };
            Ok(Document { shown: name, file })
        }
        None => file::read(path),
    }
}
