//! `form`: a procedure on paper, for a bench without this program.

use std::path::PathBuf;

use clap::ValueEnum;

use crate::cli::exit::Exit;
use crate::record::PROGRAM;
use crate::report::{self, Blank};
use crate::shell::documents;
use crate::shell::fault::Fault;
use crate::shell::file;
use crate::shell::terminal;
use crate::sitting::opening;
use crate::sitting::rehearsal::RehearsalOptions;

/// Make the blank form of a procedure, to be filled in by hand
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// A procedure file, or the name of a bundled procedure
    procedure: PathBuf,
    /// Facts about the equipment, so that windows are worked out for it
    #[arg(long, value_name = "FILE")]
    equipment: Option<PathBuf>,
    /// Facts about the bench, so that meters are named
    #[arg(long, value_name = "FILE")]
    bench: Option<PathBuf>,
    /// What to make
    #[arg(long, value_enum, default_value_t)]
    format: FormFormat,
    /// Where to write it, a new file; without this it goes to the screen
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// What a form is made as.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum FormFormat {
    /// For a terminal
    #[default]
    Text,
    /// For a browser and a printer
    Html,
    /// For paper
    Pdf,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let files = opening::files(
        documents::procedure(&arguments.procedure)?,
        arguments.equipment.as_deref(),
        arguments.bench.as_deref(),
        RehearsalOptions::default(),
    )?;
    let document = report::form(&Blank {
        procedure: &files.procedure.1,
        sha256: &files.procedure.0.sha256,
        equipment: files.equipment.as_ref().map(|(_, equipment)| equipment),
        bench: files.bench.as_ref().map(|(_, bench_file)| bench_file),
        program: PROGRAM,
    });
    let bytes = match arguments.format {
        FormFormat::Text => report::plain(&document, terminal::out_style()).into_bytes(),
        FormFormat::Html => report::html(&document).into_bytes(),
        FormFormat::Pdf => report::pdf(&document).map_err(Fault::failed)?,
    };
    file::put(arguments.out.as_deref(), &bytes, arguments.format == FormFormat::Pdf)?;
    Ok(Exit::Finished)
}
