//! `verify`: records against their own hashes, the register, their events and their files.

mod found;
mod hashes;
mod register;
mod whole;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use serde_json::json;

use self::found::Found;
use self::register::Register;
use super::{Format, Records, print_json};
use crate::cli::cores::on_all_cores;
use crate::cli::exit::Exit;
use crate::cli::fault::Fault;
use crate::cli::{registering, terminal};
use crate::diagnostic::clean_lines;
use crate::journal::Line;
use crate::journal::register::{Checked, Digest, Hold, Index, Registered, Wrong, compare};

/// Verify that records are whole and unaltered, and that none is missing
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// The record: its file, or the name of the run
    #[arg(required_unless_present_any = ["all", "against"], conflicts_with = "all")]
    record: Option<PathBuf>,
    /// Every record in the folder and the register: hashes, ends and attached files
    #[arg(long)]
    all: bool,
    /// With --all: also that what each record concludes follows from what happened; takes much longer
    #[arg(long, requires = "all")]
    conclusions: bool,
    /// A line that `wattstep digest` printed, or a file with it: the register must be that one, or go on from it
    #[arg(long, value_name = "DIGEST")]
    against: Option<String>,
    #[command(flatten)]
    records: Records,
    /// How to print the result
    #[arg(long, value_enum, default_value_t)]
    format: Format,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let digest = arguments.against.as_deref().map(digest).transpose()?;
    if let Some(record) = &arguments.record {
        let path = arguments.records.find(record);
        let register = Register::read(registering::folder(&path), digest.as_ref())?;
        let found = one(&path, register.index.as_ref())?;
        let is_asked = register.digest.is_some() || register.wrong.is_some();
        return Ok(print(&[found], is_asked.then_some(&register), arguments.format));
    }
    arguments.records.must_be_there()?;
    // Records first: one that is begun meanwhile is then not looked for in a register from before.
    let mut paths = if arguments.all { arguments.records.list()? } else { Vec::new() };
    let empty: BTreeSet<_> = paths.iter().filter(|path| is_empty(path)).cloned().collect();
    let mut register = Register::read(&arguments.records.records, digest.as_ref())?;
    // A run is registered before its first line: an empty file that the register doesn't know is no record yet.
    let is_known = |path: &Path| registered(register.index.as_ref(), path).is_some();
    paths.retain(|path| !empty.contains(path) || is_known(path));
    if !paths.is_empty() {
        register.must_be_there();
    }
    let found =
        if arguments.all { all(&paths, register.index.as_ref(), arguments)? } else { Vec::new() };
    if found.is_empty() && arguments.all && arguments.format == Format::Text {
        let folder = arguments.records.records.display();
        terminal::out(&clean_lines(&format!("no record in {folder}\n")));
    }
    Ok(print(&found, Some(&register), arguments.format))
}

fn is_empty(path: &Path) -> bool {
    path.metadata().is_ok_and(|found| found.len() == 0)
}

/// Reads a digest from the command line or from a file.
fn digest(given: &str) -> Result<Digest, Fault> {
    let text = match std::fs::metadata(given) {
        Ok(_) => crate::cli::file::read(Path::new(given))?.file.text,
        Err(_) => given.to_owned(),
    };
    text.parse().map_err(Fault::usage)
}

/// One record in every respect, and against the register beside it, which has to hold too.
pub(super) fn with_register(path: &Path) -> Result<Found, Fault> {
    let register = Register::read(registering::folder(path), None)?;
    let mut found = one(path, register.index.as_ref())?;
    found.wrong = found.wrong.or(register.wrong);
    Ok(found)
}

/// One record, in every respect.
fn one(path: &Path, index: Option<&Index>) -> Result<Found, Fault> {
    if !path.exists() && registered(index, path).is_none() {
        return Err(Fault::failed(format!("there is no record {}", path.display())));
    }
    verify(path, index, whole::verify)
}

/// Verifies a record in some way, if the register knows it. Where there is no register, that is said once for all.
fn verify(
    path: &Path,
    index: Option<&Index>,
    how: impl Fn(&Path, Option<&Registered>) -> Result<Found, Fault>,
) -> Result<Found, Fault> {
    let registered = registered(index, path);
    if index.is_some() && registered.is_none() {
        return Ok(Found::wrong(path, Wrong::Unregistered));
    }
    how(path, registered)
}

/// Compares a record with the register. A run that another program has registered and is about to write the first line of
/// has nothing wrong with it.
fn compared(
    path: &Path,
    registered: Option<&Registered>,
    mut see: impl FnMut(Line<'_>),
) -> Result<Checked, Fault> {
    let checked = compare(path, registered, &mut see).map_err(Fault::failed)?;
    if checked.wrong != Some(Wrong::NeverBegun) {
        return Ok(checked);
    }
    match Hold::on(path).map_err(Fault::failed)? {
        None => Ok(Checked { wrong: None, ..checked }),
        // It may have been written and closed since it was read.
        Some(_hold) => compare(path, registered, see).map_err(Fault::failed),
    }
}

fn registered<'a>(index: Option<&'a Index>, path: &Path) -> Option<&'a Registered> {
    index?.run(&registering::run(path))
}

/// Every record in the folder, and those that should be there.
fn all(
    paths: &[PathBuf],
    index: Option<&Index>,
    arguments: &Arguments,
) -> Result<Vec<Found>, Fault> {
    let how = if arguments.conclusions { whole::verify } else { hashes::verify };
    let found = on_all_cores(paths, |path| verify(path, index, how));
    let mut found = found.into_iter().collect::<Result<Vec<_>, _>>()?;
    if index.is_some() && found.iter().any(|found| found.wrong.is_some()) {
        // Another bench may have begun or ended a run since the register was read.
        let later = Index::read(&arguments.records.records).map_err(registering::refused)?;
        for (path, found) in paths.iter().zip(&mut found) {
            if found.wrong.is_some() {
                *found = verify(path, later.as_ref(), how)?;
            }
        }
    }
    let there: BTreeSet<_> = paths.iter().map(|path| registering::run(path)).collect();
    let known = index.iter().flat_map(|index| index.runs()).map(|(run, _)| run);
    found.extend(known.filter(|run| !there.contains(*run)).map(|run| {
        let path = arguments.records.records.join(format!("{run}.jsonl"));
        Found::wrong(&path, Wrong::Missing)
    }));
    Ok(found)
}

fn print(found: &[Found], register: Option<&Register>, format: Format) -> Exit {
    match format {
        Format::Text => {
            found.iter().for_each(|found| terminal::out(&found.text()));
            register.iter().for_each(|register| terminal::out(&register.text()));
        }
        Format::Json => {
            let records: Vec<_> = found.iter().map(Found::json).collect();
            print_json(&match register {
                Some(register) => json!({ "records": records, "register": register.json() }),
                None => json!(records),
            });
        }
    }
    let is_sound = found.iter().all(|found| found.wrong.is_none())
        && register.is_none_or(|register| register.wrong.is_none());
    if is_sound { Exit::Finished } else { Exit::Damaged }
}
