//! `register`: what the register does not know yet, written down.

use std::path::Path;

use super::Records;
use crate::cli::exit::Exit;
use crate::diagnostic::clean_lines;
use crate::journal::read_file;
use crate::journal::register::{Change, End, Hold, Index, Register, Registered, Wrong, compare};
use crate::procedure::person_name;
use crate::record::{Entry, Mode, Outcome, Run};
use crate::shell::fault::Fault;
use crate::shell::terminal;
use crate::sitting::registering;

/// Write into the register what it does not know yet
///
/// After a crash or a failed write the end of a sitting is not in the register; this looks at the record and writes down
/// what is there. With --adopt it also takes over records that were never registered, such as those of older versions:
/// nothing vouches for what happened to them before, and the register says so.
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// Take over records, and lines of records, that the register does not know
    #[arg(long, requires = "by")]
    adopt: bool,
    /// Who takes them over: it goes into the register
    #[arg(long, value_name = "NAME", requires = "adopt")]
    by: Option<String>,
    #[command(flatten)]
    records: Records,
}

/// What became of a record.
enum Done {
    /// The register knows it already, and has this to say of it.
    Known(Vec<String>),
    Settled,
    Adopted,
    Running,
    Wrong(Wrong),
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let by = arguments.by.as_deref().filter(|_| arguments.adopt);
    if let Some(Err(reason)) = by.map(person_name) {
        let message = format!("no name is given for taking the records over: {reason}");
        return Err(Fault::usage(message).help("give --by NAME: it goes into the register"));
    }
    arguments.records.must_be_there()?;
    let folder = &arguments.records.records;
    let paths = arguments.records.list()?;
    let index = Index::read(folder).map_err(registering::refused)?;
    if paths.is_empty() && index.is_none() {
        let folder = folder.display();
        terminal::out(&clean_lines(&format!("no record in {folder}, and no register\n")));
    }
    let mut exit = Exit::Finished;
    for path in &paths {
        let done = look(path, index.as_ref(), by)?;
        if let Done::Wrong(_) = done {
            exit = Exit::Damaged;
        }
        terminal::out(&clean_lines(&words(path, &done)));
    }
    let gone = index.iter().flat_map(Index::runs).map(|(run, _)| run);
    for run in gone.filter(|run| !paths.iter().any(|path| registering::run(path) == **run)) {
        exit = Exit::Damaged;
        terminal::out(&clean_lines(&format!("left alone  {run}\n  {}\n", Wrong::Missing)));
    }
    Ok(exit)
}

/// What is to be done about a record.
enum Due {
    Nothing,
    Settle(End),
    Adopt(End),
    Leave(Wrong),
}

/// Looks at one record and registers what is there, if that may be.
fn look(path: &Path, index: Option<&Index>, by: Option<&str>) -> Result<Done, Fault> {
    let run = registering::run(path);
    let registered = index.and_then(|index| index.run(&run));
    match due(path, registered, by.is_some())? {
        Due::Nothing => return Ok(known(registered)),
        Due::Leave(wrong) => return Ok(Done::Wrong(wrong)),
        Due::Settle(_) | Due::Adopt(_) => {}
    }
    let Some(_hold) = Hold::on(path).map_err(Fault::failed)? else { return Ok(Done::Running) };
    let folder = registering::folder(path);
    let mut register = Register::open(folder).map_err(registering::refused)?;
    // Now that nobody else can add to either: is it still so?
    let (what, done) = match self::due(path, register.index().run(&run), by.is_some())? {
        Due::Nothing => return Ok(known(register.index().run(&run))),
        Due::Leave(wrong) => return Ok(Done::Wrong(wrong)),
        Due::Settle(end) => (Change::Settled { end, outcome: outcome(path) }, Done::Settled),
        Due::Adopt(end) => {
            let (mode, outcome) = (mode(path), outcome(path));
            let by = by.unwrap_or_default().trim().to_owned();
            (Change::Adopted { end, mode, outcome, by }, Done::Adopted)
        }
    };
    register.add(registering::registration(run, what)).map_err(Fault::failed)?;
    Ok(done)
}

fn known(registered: Option<&Registered>) -> Done {
    Done::Known(registered.map(Registered::caveats).unwrap_or_default())
}

fn due(path: &Path, registered: Option<&Registered>, adopts: bool) -> Result<Due, Fault> {
    let checked = compare(path, registered, |_| {}).map_err(Fault::failed)?;
    let Some(chain) = checked.chain else {
        return Ok(checked.wrong.map_or(Due::Nothing, Due::Leave));
    };
    let end = End::found(chain);
    Ok(match (checked.wrong, registered) {
        (_, None) if adopts => Due::Adopt(end),
        (_, None) => Due::Leave(Wrong::Unregistered),
        (Some(Wrong::Added { .. } | Wrong::BytesAfter { .. }), _) if adopts => Due::Adopt(end),
        (Some(Wrong::NeverBegun), _) => Due::Settle(end),
        (Some(wrong), _) => Due::Leave(wrong),
        (None, Some(own)) if own.is_open => Due::Settle(end),
        (None, Some(_)) => Due::Nothing,
    })
}

/// The run of a record, as far as it can be read: a record that was just adopted need not be one of this version.
fn read(path: &Path) -> Option<Run> {
    Run::fold(&read_file::<Entry>(path).ok()?.entries)
}

fn mode(path: &Path) -> Option<Mode> {
    read(path).map(|run| run.opening.mode)
}

fn outcome(path: &Path) -> Option<Outcome> {
    read(path).and_then(|run| run.closing).map(|closing| closing.outcome)
}

fn words(path: &Path, done: &Done) -> String {
    let path = path.display();
    match done {
        Done::Known(caveats) => {
            let caveats: String = caveats.iter().map(|words| format!("  {words}\n")).collect();
            format!("known       {path}\n{caveats}")
        }
        Done::Settled => format!("settled     {path}\n"),
        Done::Adopted => format!("adopted     {path}\n"),
        Done::Running => format!("running     {path}\n"),
        Done::Wrong(wrong) => format!("left alone  {path}\n  {wrong}\n"),
    }
}
