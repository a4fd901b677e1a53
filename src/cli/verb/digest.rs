//! `digest`: one line about the register, to keep where nobody at the bench can change it.

use chrono::Local;
use serde_json::json;

use super::{OutputFormat, Records, print_json};
use crate::cli::exit::Exit;
use crate::journal::register::{Digest, Index};
use crate::shell::fault::Fault;
use crate::shell::terminal;
use crate::sitting::registering;

/// Print one line about the register, to keep elsewhere and check against later
///
/// Print it, mail it or write it into another book. `wattstep verify --against` shows later that the register has only
/// been added to since.
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    #[command(flatten)]
    records: Records,
    /// How to print it
    #[arg(long, value_enum, default_value_t)]
    format: OutputFormat,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    arguments.records.must_be_there()?;
    let folder = &arguments.records.records;
    let index = Index::read(folder).map_err(registering::refused)?;
    let now = Local::now().fixed_offset();
    let digest = index.and_then(|index| Digest::of(&index, now)).ok_or_else(|| {
        Fault::failed(format!("there is no register in {}", folder.display()))
            .help("the first run begins one; `wattstep register --adopt` takes over older records")
    })?;
    match arguments.format {
        OutputFormat::Text => terminal::out(&format!("{digest}\n")),
        OutputFormat::Json => print_json(&json!({
            "lines": digest.lines,
            "head": digest.head,
            "at": digest.at.to_rfc3339(),
            "digest": digest.to_string(),
        })),
    }
    Ok(Exit::Finished)
}
