//! `show`: a record, readable.

use std::path::{Path, PathBuf};

use super::{OutputFormat, Records, print_json};
use crate::audit::signatures::SignatureWalk;
use crate::cli::exit::Exit;
use crate::journal::register::RegisterStanding;
use crate::journal::{self, JournalError};
use crate::record::{Entry, Run};
use crate::report::{self, Seal};
use crate::shell::fault::Fault;
use crate::shell::terminal;

/// Show a record
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// The record: its file, or the name of the run
    record: PathBuf,
    #[command(flatten)]
    records: Records,
    /// How to print it
    #[arg(long, value_enum, default_value_t)]
    format: OutputFormat,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let path = arguments.records.found(&arguments.record)?;
    let (run, seal) = read_sealed(&path)?;
    match arguments.format {
        OutputFormat::Text => terminal::out(&report::text(&run, &seal, terminal::out_style())),
        OutputFormat::Json => print_json(&report::json(&run, &seal).map_err(Fault::failed)?),
    }
    match seal.wrong {
        None => Ok(Exit::Finished),
        Some(wrong) => Err(Fault::damaged(wrong).help("`wattstep verify` looks at everything")),
    }
}

/// Prints a record for somebody who picked it.
pub(in crate::cli) fn print(path: &Path) -> Result<(), Fault> {
    let (run, seal) = read_sealed(path)?;
    terminal::out(&report::text(&run, &seal, terminal::out_style()));
    Ok(())
}

/// Reads the run of a record, and how far it can be relied on by its register, its hashes and its signatures.
fn read_sealed(path: &Path) -> Result<(Run, Seal), Fault> {
    let run = read(path)?;
    let mut walk = SignatureWalk::default();
    let standing = RegisterStanding::of(path, |line| walk.see(line)).map_err(Fault::failed)?;
    let seal = Seal {
        wrong: standing.fault().or_else(|| walk.wrong()),
        caveats: standing.caveats(),
        flawed: walk.flawed(),
        ..Seal::default()
    };
    Ok((run, seal))
}

/// Reads the run of a record.
pub(in crate::cli) fn read(path: &Path) -> Result<Run, Fault> {
    let contents = journal::read_file::<Entry>(path).map_err(|error| match error {
        JournalError::Damaged { .. } => Fault::damaged(error),
        other => Fault::failed(other),
    })?;
    Run::fold(&contents.entries).ok_or_else(|| Fault::damaged("line 1 is not the start of a run"))
}
