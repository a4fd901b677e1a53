//! `register`: what the register does not know yet, written down.

use std::path::Path;

use super::Records;
use crate::cli::exit::Exit;
use crate::diagnostic::clean_lines;
use crate::journal::read_file;
use crate::journal::register::{
    Change, Index, NO_REGISTER, RecordEnd, RecordHold, Register, Registered, Wrong, compare,
};
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

/// What is said of a file whose hashes hold and whose entries are those of no record.
const UNREADABLE: &str = "NOT READABLE AS A RECORD, so nobody can vouch for it: take it out of the folder, or have the version of the \
                          program that wrote it look at it";

/// What became of a record.
enum Settlement {
    /// The register knows it already, and has this to say of it.
    Known(Vec<String>),
    Settled,
    Adopted,
    Running,
    /// Nothing is written down of it: why.
    LeftAlone(String),
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
    if !paths.is_empty() && index.is_none() && by.is_none() {
        terminal::out(&clean_lines(&format!("{NO_REGISTER}\n")));
    }
    let mut exit = Exit::Finished;
    for path in &paths {
        let done = look(path, index.as_ref(), by)?;
        if let Settlement::LeftAlone(_) = done {
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
enum SettlementTask {
    Nothing,
    /// It is written down where it ends.
    Add(There),
    Leave(String),
}

/// What is there of a record.
struct There {
    end: RecordEnd,
    /// How it was carried out; nothing where it has no line.
    mode: Option<Mode>,
    /// How it ended, if it did.
    outcome: Option<Outcome>,
}

/// Looks at one record and registers what is there, if that may be.
fn look(path: &Path, index: Option<&Index>, by: Option<&str>) -> Result<Settlement, Fault> {
    let run = registering::run(path);
    let registered = index.and_then(|index| index.run(&run));
    match due(path, registered, by.is_some()) {
        SettlementTask::Nothing => return Ok(known(registered)),
        SettlementTask::Leave(why) => return Ok(Settlement::LeftAlone(why)),
        SettlementTask::Add(_) => {}
    }
    let Some(_hold) = RecordHold::on(path).map_err(Fault::failed)? else {
        return Ok(Settlement::Running);
    };
    let folder = registering::folder(path);
    let mut register = Register::open(folder).map_err(registering::refused)?;
    // Now that nobody else can add to either: is it still so?
    let registered = register.index().run(&run);
    let there = match due(path, registered, by.is_some()) {
        SettlementTask::Nothing => return Ok(known(registered)),
        SettlementTask::Leave(why) => return Ok(Settlement::LeftAlone(why)),
        SettlementTask::Add(there) => there,
    };
    let is_open = registered.is_some_and(|registered| registered.is_open);
    let There { end, mode, outcome } = there;
    let (what, done) = match by.filter(|_| !is_open) {
        None => (Change::Settled { end, outcome }, Settlement::Settled),
        Some(by) => {
            let by = by.trim().to_owned();
            (Change::Adopted { end, mode, outcome, by }, Settlement::Adopted)
        }
    };
    register.add(registering::registration(run, what)).map_err(Fault::failed)?;
    Ok(done)
}

fn known(registered: Option<&Registered>) -> Settlement {
    Settlement::Known(registered.map(Registered::caveats).unwrap_or_default())
}

fn due(path: &Path, registered: Option<&Registered>, adopts: bool) -> SettlementTask {
    let checked = match compare(path, registered, |_| {}) {
        Ok(checked) => checked,
        Err(error) => return SettlementTask::Leave(error.to_string()),
    };
    let Some(chain) = checked.chain else {
        return checked
            .wrong
            .map_or(SettlementTask::Nothing, |wrong| SettlementTask::Leave(wrong.to_string()));
    };
    let wrong = match (checked.wrong, registered) {
        // It has no line: there is nothing to take over.
        (Some(wrong @ Wrong::Damaged(_)), None) => Some(wrong),
        (_, None) => Some(Wrong::Unregistered).filter(|_| !adopts),
        (Some(Wrong::Added { .. } | Wrong::BytesAfter { .. }), _) if adopts => None,
        (Some(Wrong::NeverBegun), _) => None,
        (None, Some(known)) if !known.is_open => return SettlementTask::Nothing,
        (wrong, Some(_)) => wrong,
    };
    let there =
        wrong.map_or_else(|| there(path, RecordEnd::found(chain)), |wrong| Err(wrong.to_string()));
    there.map_or_else(SettlementTask::Leave, SettlementTask::Add)
}

/// What is there of a record whose hashes hold.
///
/// # Errors
/// Where this version can't read what stands in its lines: hashes alone make no record of them.
fn there(path: &Path, end: RecordEnd) -> Result<There, String> {
    if end.lines == 0 {
        return Ok(There { end, mode: None, outcome: None });
    }
    let contents = read_file::<Entry>(path).map_err(|error| format!("{UNREADABLE}: {error}"))?;
    let run = Run::fold(&contents.entries);
    let run = run.ok_or_else(|| format!("{UNREADABLE}: line 1 is not the start of a run"))?;
    let outcome = run.closing.map(|closing| closing.outcome);
    Ok(There { end, mode: Some(run.opening.mode), outcome })
}

fn words(path: &Path, done: &Settlement) -> String {
    let path = path.display();
    match done {
        Settlement::Known(caveats) => {
            let caveats: String = caveats.iter().map(|words| format!("  {words}\n")).collect();
            format!("known       {path}\n{caveats}")
        }
        Settlement::Settled => format!("settled     {path}\n"),
        Settlement::Adopted => format!("adopted     {path}\n"),
        Settlement::Running => format!("running     {path}\n"),
        Settlement::LeftAlone(why) => format!("left alone  {path}\n  {why}\n"),
    }
}
