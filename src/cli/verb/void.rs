//! `void`: a record declared to count for nothing.

use std::path::PathBuf;

use super::{Records, addition};
use crate::cli::exit::Exit;
use crate::journal::register::Change;
use crate::record::Event;
use crate::shell::fault::Fault;

/// Declare that a record counts for nothing; it stays, and says VOID everywhere
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// The record: its file, or the name of the run
    record: PathBuf,
    /// Who says so: it goes into the record
    #[arg(long, value_name = "NAME")]
    by: String,
    /// Who agrees to it, where the people file of the record does not let the person who says so do it alone
    #[arg(long, value_name = "NAME")]
    with: Option<String>,
    /// Why
    #[arg(long, value_name = "WORDS")]
    why: String,
    #[command(flatten)]
    records: Records,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let record = arguments.records.found(&arguments.record)?;
    let with = arguments.with.as_ref().map(|with| with.trim().to_owned());
    let event = Event::Voided { why: arguments.why.clone(), with };
    let by = arguments.by.clone();
    addition::add(&record, event, &arguments.by, |end| Change::Voided { end, by })
}
