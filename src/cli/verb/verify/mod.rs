//! `verify`: records against their own hashes, the register, their events and their files.

mod against;
mod found;
mod hashes;
mod register;
mod whole;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use self::against::Against;
pub(super) use self::found::Found;
use self::register::FolderRegister;
use super::{OutputFormat, Records, print_json};
use crate::cli::cores::on_all_cores;
use crate::cli::exit::Exit;
use crate::diagnostic::clean_lines;
use crate::journal::Line;
use crate::journal::register::{CheckedChain, Index, RecordHold, Registered, Wrong, compare};
use crate::shell::fault::Fault;
use crate::shell::terminal;
use crate::signature::Shop;
use crate::sitting::registering;

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
    /// Check the record by itself: a copy that was sent without its register
    #[arg(long, conflicts_with_all = ["all", "against"])]
    alone: bool,
    #[command(flatten)]
    against: Against,
    #[command(flatten)]
    records: Records,
    /// How to print the result
    #[arg(long, value_enum, default_value_t)]
    format: OutputFormat,
}

/// What is said where conclusions were not looked at.
const NOT_CONCLUDED: &str = "conclusions were not checked: `--conclusions` looks whether what each record concludes follows from \
                             what happened";

/// What was found, as it is printed.
struct Findings<'a> {
    records: &'a [Found],
    /// Where one was asked for, or is odd.
    register: Option<&'a FolderRegister>,
    /// Whether what the records conclude was looked at too.
    conclusions: bool,
}

/// What records are checked against beside themselves.
struct CheckedAgainst<'a> {
    index: Option<&'a Index>,
    shop: Option<&'a Shop>,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let against = arguments.against.read()?;
    let (digest, shop) = (against.digest.as_ref(), against.shop.as_ref());
    if let Some(record) = &arguments.record {
        let path = arguments.records.find(record);
        if arguments.alone {
            let records = &[alone(&path)?];
            let found = Findings { records, register: None, conclusions: true };
            return Ok(found.print(arguments.format));
        }
        let mut register = FolderRegister::read(registering::folder(&path), digest)?;
        register.must_be_there();
        let records = &[one(&path, &CheckedAgainst { index: register.index.as_ref(), shop })?];
        let is_odd = register.wrong.is_some() || !register.findings().is_empty();
        let is_asked = register.digest.is_some() || is_odd;
        let register = is_asked.then_some(&register);
        return Ok(Findings { records, register, conclusions: true }.print(arguments.format));
    }
    if !arguments.all && digest.is_none() {
        return Err(Fault::usage("keys alone check nothing").help("name a record, or say --all"));
    }
    arguments.records.must_be_there()?;
    // Records first: one that is begun meanwhile is then not looked for in a register from before.
    let mut paths = if arguments.all { arguments.records.list()? } else { Vec::new() };
    let empty: BTreeSet<_> = paths.iter().filter(|path| is_empty(path)).cloned().collect();
    let mut register = FolderRegister::read(&arguments.records.records, digest)?;
    // A run is registered before its first line: an empty file that the register doesn't know is no record yet.
    let is_known = |path: &Path| registered(register.index.as_ref(), path).is_some();
    paths.retain(|path| !empty.contains(path) || is_known(path));
    if !paths.is_empty() {
        register.must_be_there();
    }
    let given = CheckedAgainst { index: register.index.as_ref(), shop };
    let found = if arguments.all { all(&paths, &given, arguments)? } else { Vec::new() };
    if found.is_empty() && arguments.all && arguments.format == OutputFormat::Text {
        let folder = arguments.records.records.display();
        terminal::out(&clean_lines(&format!("no record in {folder}\n")));
    }
    let conclusions = arguments.conclusions || found.is_empty();
    let register = Some(&register);
    Ok(Findings { records: &found, register, conclusions }.print(arguments.format))
}

fn is_empty(path: &Path) -> bool {
    path.metadata().is_ok_and(|found| found.is_file() && found.len() == 0)
}

/// One record in every respect, and against the register beside it, which has to be there and to hold.
pub(super) fn with_register(path: &Path) -> Result<Found, Fault> {
    let mut register = FolderRegister::read(registering::folder(path), None)?;
    register.must_be_there();
    let mut found = one(path, &CheckedAgainst { index: register.index.as_ref(), shop: None })?;
    found.wrong = found.wrong.or(register.wrong);
    Ok(found)
}

/// One record in every respect.
fn one(path: &Path, given: &CheckedAgainst<'_>) -> Result<Found, Fault> {
    must_be_there(path, given.index)?;
    verify(path, given, whole::verify)
}

/// One record by itself, whatever a register says.
fn alone(path: &Path) -> Result<Found, Fault> {
    must_be_there(path, None)?;
    verify(path, &CheckedAgainst { index: None, shop: None }, whole::verify)
}

fn must_be_there(path: &Path, index: Option<&Index>) -> Result<(), Fault> {
    if !path.exists() && registered(index, path).is_none() {
        return Err(Fault::failed(format!("there is no record {}", path.display())));
    }
    Ok(())
}

/// Verifies a record in some way, if the register knows it. Where there is no register, that is said once for all.
fn verify(
    path: &Path,
    given: &CheckedAgainst<'_>,
    how: impl Fn(&Path, Option<&Registered>, Option<&Shop>) -> Result<Found, Fault>,
) -> Result<Found, Fault> {
    let registered = registered(given.index, path);
    if given.index.is_some() && registered.is_none() && path.is_file() {
        return Ok(Found::wrong(path, Wrong::Unregistered));
    }
    let mut found = how(path, registered, given.shop)?;
    (found.registered, found.is_alone) = (registered.cloned(), registered.is_none());
    Ok(found)
}

/// Compares a record with the register. A run that another program has registered and is about to write the first line of
/// has nothing wrong with it.
fn compared(
    path: &Path,
    registered: Option<&Registered>,
    mut see: impl FnMut(Line<'_>),
) -> Result<CheckedChain, Fault> {
    let checked = compare(path, registered, &mut see).map_err(Fault::failed)?;
    if checked.wrong != Some(Wrong::NeverBegun) {
        return Ok(checked);
    }
    match RecordHold::on(path).map_err(Fault::failed)? {
        None => Ok(CheckedChain { wrong: None, ..checked }),
        // It may have been written and closed since it was read.
        Some(_hold) => compare(path, registered, see).map_err(Fault::failed),
    }
}

fn registered<'a>(index: Option<&'a Index>, path: &Path) -> Option<&'a Registered> {
    index?.run(&registering::run(path))
}

/// Every record in the folder, and those that should be there. One that can't be read is told as such among the others.
fn all(
    paths: &[PathBuf],
    given: &CheckedAgainst<'_>,
    arguments: &Arguments,
) -> Result<Vec<Found>, Fault> {
    let how = if arguments.conclusions { whole::verify } else { hashes::verify };
    let look = |path: &PathBuf, given: &CheckedAgainst<'_>| {
        verify(path, given, how).unwrap_or_else(|fault| Found::wrong(path, fault.message()))
    };
    let index = given.index;
    let mut found = on_all_cores(paths, |path| look(path, given));
    if index.is_some() && found.iter().any(|found| found.wrong.is_some()) {
        // Another bench may have begun or ended a run since the register was read.
        let later = Index::read(&arguments.records.records).map_err(registering::refused)?;
        let later = CheckedAgainst { index: later.as_ref(), shop: given.shop };
        for (path, found) in paths.iter().zip(&mut found) {
            if found.wrong.is_some() {
                *found = look(path, &later);
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

impl Findings<'_> {
    fn print(&self, format: OutputFormat) -> Exit {
        match format {
            OutputFormat::Text => {
                self.records.iter().for_each(|found| terminal::out(&found.text()));
                self.register.iter().for_each(|register| terminal::out(&register.text()));
                if !self.conclusions {
                    terminal::out(&format!("{NOT_CONCLUDED}\n"));
                }
            }
            OutputFormat::Json => print_json(&self.json()),
        }
        self.exit()
    }

    fn json(&self) -> Value {
        let records: Vec<_> = self.records.iter().map(Found::json).collect();
        match self.register {
            Some(register) => json!({
                "records": records,
                "register": register.json(),
                "conclusions_checked": self.conclusions,
            }),
            None => json!(records),
        }
    }

    fn exit(&self) -> Exit {
        let is_sound = self.records.iter().all(|found| found.wrong.is_none())
            && self.register.is_none_or(|register| register.wrong.is_none());
        let is_clear = self.records.iter().all(|found| found.findings.is_empty())
            && self.register.is_none_or(|register| register.findings().is_empty());
        match (is_sound, is_clear) {
            (false, _) => Exit::Damaged,
            (true, false) => Exit::Findings,
            (true, true) => Exit::Finished,
        }
    }
}
