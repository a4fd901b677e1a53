//! `amend`: a line of a record, corrected or completed by a new one.

use std::path::PathBuf;

use super::{Records, addition};
use crate::cli::exit::Exit;
use crate::journal::register::Change;
use crate::record::Event;
use crate::shell::fault::Fault;

/// Correct or complete a line of a record; the line itself stays as it is
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// The record: its file, or the name of the run
    record: PathBuf,
    /// The line that is amended, as `wattstep show` numbers it
    #[arg(long, value_name = "N")]
    line: usize,
    /// What should be read there, or in addition to it
    #[arg(long, value_name = "WORDS")]
    text: String,
    /// Who says so: it goes into the record
    #[arg(long, value_name = "NAME")]
    by: String,
    #[command(flatten)]
    records: Records,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let record = arguments.records.found(&arguments.record)?;
    let event = Event::Amended { line: arguments.line, text: arguments.text.clone() };
    let by = arguments.by.clone();
    addition::add(&record, event, &arguments.by, |end| Change::Amended { end, by })
}
