//! `verify`: a record against its own hashes, its events and its files.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::{Format, Records, print_json};
use crate::cli::exit::Exit;
use crate::cli::fault::Fault;
use crate::cli::replay::replay;
use crate::cli::terminal;
use crate::diagnostic::clean;
use crate::journal::{self, JournalError};
use crate::record::{Entry, Happening, Run};

/// Verify that records are whole and unaltered
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// The record: its file, or the name of the run
    #[arg(required_unless_present = "all", conflicts_with = "all")]
    record: Option<PathBuf>,
    /// Every record in the folder
    #[arg(long)]
    all: bool,
    #[command(flatten)]
    records: Records,
    /// How to print the result
    #[arg(long, value_enum, default_value_t)]
    format: Format,
}

/// What is found of one record.
pub(super) struct Found {
    path: PathBuf,
    pub(super) entries: usize,
    pub(super) head: String,
    pub(super) torn: bool,
    state: String,
    pub(super) wrong: Option<String>,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let paths = match &arguments.record {
        Some(record) => vec![arguments.records.find(record)],
        None => arguments.records.list()?,
    };
    let found = paths.iter().map(|path| verify(path)).collect::<Result<Vec<_>, _>>()?;
    match arguments.format {
        Format::Text => found.iter().for_each(|found| terminal::out(&text(found))),
        Format::Json => print_json(&Value::Array(found.iter().map(as_json).collect())),
    }
    let sound = found.iter().all(|found| found.wrong.is_none());
    Ok(if sound { Exit::Finished } else { Exit::Damaged })
}

/// Verifies one record.
pub(super) fn verify(path: &Path) -> Result<Found, Fault> {
    let mut found = Found {
        path: path.to_owned(),
        entries: 0,
        head: String::new(),
        torn: false,
        state: "damaged".to_owned(),
        wrong: None,
    };
    let contents = match journal::read_file::<Entry>(path) {
        Ok(contents) => contents,
        Err(error @ JournalError::Damaged { .. }) => {
            found.wrong = Some(error.to_string());
            return Ok(found);
        }
        Err(other) => return Err(Fault::failed(other)),
    };
    found.entries = contents.entries.len();
    found.head = contents.head;
    found.torn = contents.torn.is_some();
    found.wrong = replay(&contents.entries).err();
    if let Some(run) = Run::fold(&contents.entries) {
        found.state = state(&run, found.torn);
        found.wrong = found.wrong.or_else(|| altered_file(path, &run));
    }
    Ok(found)
}

fn state(run: &Run, torn: bool) -> String {
    let state = match run.closing {
        Some(closing) => format!("closed: {}", closing.outcome.words()),
        None => "not closed: unfinished, or its end was cut off".to_owned(),
    };
    let torn = if torn { "; a torn tail: the last write was cut off" } else { "" };
    let mark = run.opening.mode.mark().map(|mark| format!("; {mark}")).unwrap_or_default();
    format!("{state}{torn}{mark}")
}

/// The first attached file that is missing or altered.
fn altered_file(path: &Path, run: &Run) -> Option<String> {
    let folder = path.parent()?;
    let files = run.items.iter().filter_map(|item| match &item.what {
        Happening::Attached { sha256, name, .. } => Some((sha256, name)),
        _ => None,
    });
    files.into_iter().find_map(|(sha256, name)| {
        let checked = journal::check_attachment(folder, &run.opening.run, sha256);
        checked.err().map(|error| format!("attached file {name}: {error}"))
    })
}

fn text(found: &Found) -> String {
    let path = clean(&found.path.display().to_string());
    match &found.wrong {
        Some(wrong) => format!("DOES NOT VERIFY  {path}\n  {}\n", clean(wrong)),
        None => {
            let (entries, head, state) = (found.entries, &found.head, clean(&found.state));
            format!("verified  {path}\n  {entries} entries, head {head}\n  {state}\n")
        }
    }
}

fn as_json(found: &Found) -> Value {
    json!({
        "record": found.path.display().to_string(),
        "verified": found.wrong.is_none(),
        "wrong": found.wrong,
        "entries": found.entries,
        "head": found.head,
        "state": found.state,
    })
}
