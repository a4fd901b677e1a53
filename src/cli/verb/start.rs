//! Without a verb: what would you like to do?

use std::path::{Path, PathBuf};

use super::chosen::{self, nothing};
use super::{Records, resume, show};
use crate::cli::exit::Exit;
use crate::journal::register::Index;
use crate::shell::documents;
use crate::shell::fault::Fault;
use crate::shell::terminal;
use crate::sitting::opening;
use crate::sitting::person::PersonFront;
use crate::sitting::registering;
use crate::sitting::rehearsal::RehearsalOptions;
use crate::sitting::signal::Signals;
use crate::sitting::staff::Staff;

/// Offers the three things a person comes for.
pub(in crate::cli) fn run() -> Result<Exit, Fault> {
    if !terminal::is_interactive() {
        return Err(Fault::usage("there is no terminal to ask questions on")
            .help("`wattstep --help` lists the commands"));
    }
    let records = records();
    let _restore = terminal::Restore::later();
    let signals = Signals::watch()
        .map_err(|error| Fault::failed(format!("cannot watch for signals: {error}")))?;
    let person = PersonFront::new(signals);
    let choices =
        ["Start a procedure", "Resume an unfinished run", "Look at a record"].map(str::to_owned);
    match person.pick("What next?", &choices).map_err(nothing)? {
        Some(0) => start(&person, &records),
        Some(1) => take_up(&person, &records),
        Some(_) => look(&person, &records),
        None => Ok(Exit::Finished),
    }
}

fn records() -> Records {
    let folder = std::env::var_os("WATTSTEP_RECORDS").filter(|folder| !folder.is_empty());
    Records { records: folder.map_or_else(|| PathBuf::from("records"), PathBuf::from) }
}

fn start(person: &PersonFront, records: &Records) -> Result<Exit, Fault> {
    let Some(procedure) = chosen::procedure(person)? else { return Ok(Exit::Finished) };
    let equipment = person.line("Equipment file (Enter for none)").map_err(nothing)?;
    let equipment = Some(equipment.trim()).filter(|path| !path.is_empty()).map(Path::new);
    let people = person.line("People file (Enter for none)").map_err(nothing)?;
    let people = Some(people.trim()).filter(|path| !path.is_empty()).map(Path::new);
    let mut files = opening::files(
        documents::procedure(&procedure)?,
        equipment,
        None,
        RehearsalOptions::default(),
    )?;
    files.staff = people.map(Staff::read).transpose()?;
    let answering = opening::answering(None, None)?;
    opening::start(files, &records.records, answering, None).map(Exit::from)
}

fn take_up(person: &PersonFront, records: &Records) -> Result<Exit, Fault> {
    let runs = resume::unfinished(records)?;
    if runs.is_empty() {
        return Err(Fault::failed(format!("no unfinished run in {}", records.records.display())));
    }
    let items: Vec<_> = runs.iter().map(|(_, run)| resume::in_short(run)).collect();
    let picked = person.pick("Which run?", &items).map_err(nothing)?;
    match picked.and_then(|picked| runs.get(picked)) {
        Some((path, _)) => resume::take_up(path, None, None, Path::new(".")),
        None => Ok(Exit::Finished),
    }
}

fn look(person: &PersonFront, records: &Records) -> Result<Exit, Fault> {
    let paths = records.list()?;
    if paths.is_empty() {
        return Err(Fault::failed(format!("no record in {}", records.records.display())));
    }
    // A register that cannot be read is no reason not to look; `verify` says what is wrong with it.
    let index = Index::read(&records.records).ok().flatten();
    let is_void = |path: &Path| {
        index
            .as_ref()
            .and_then(|index| index.run(&registering::run(path)))
            .is_some_and(|registered| registered.is_void)
    };
    let name = |path: &PathBuf| {
        let void = if is_void(path) { "  VOID" } else { "" };
        format!("{}{void}", path.display())
    };
    let items: Vec<_> = paths.iter().map(name).collect();
    let picked = person.pick("Which record?", &items).map_err(nothing)?;
    if let Some(path) = picked.and_then(|picked| paths.get(picked)) {
        show::print(path)?;
    }
    Ok(Exit::Finished)
}
