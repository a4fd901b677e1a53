//! `show`: a record, readable.

use std::path::PathBuf;

use super::{Format, Records, print_json};
use crate::cli::exit::Exit;
use crate::cli::fault::Fault;
use crate::cli::terminal;
use crate::journal::{self, JournalError};
use crate::record::{Entry, Run};
use crate::report;

/// Show a record
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// The record: its file, or the name of the run
    record: PathBuf,
    #[command(flatten)]
    records: Records,
    /// How to print it
    #[arg(long, value_enum, default_value_t)]
    format: Format,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let path = arguments.records.find(&arguments.record);
    let run = read(&path)?;
    match arguments.format {
        Format::Text => terminal::out(&report::text(&run, terminal::out_style())),
        Format::Json => print_json(&report::json(&run).map_err(Fault::failed)?),
    }
    Ok(Exit::Finished)
}

/// Reads the run of a record.
pub(in crate::cli) fn read(path: &std::path::Path) -> Result<Run, Fault> {
    let contents = journal::read_file::<Entry>(path).map_err(|error| match error {
        JournalError::Damaged { .. } => Fault::damaged(error),
        other => Fault::failed(other),
    })?;
    Run::fold(&contents.entries).ok_or_else(|| Fault::damaged("line 1 is not the start of a run"))
}
