//! `resume`: a run that had not ended, taken up again.

use std::path::{Path, PathBuf};

use super::Records;
use crate::audit::replay::replay;
use crate::cli::exit::Exit;
use crate::diagnostic::clean_lines;
use crate::journal::register::{Index, Registered};
use crate::journal::{self, Journal, JournalError};
use crate::procedure::read_people;
use crate::record::{Entry, Event, Mode, Outcome, PROGRAM, Run, TornTail};
use crate::runner::Runner;
use crate::shell::fault::Fault;
use crate::shell::terminal;
use crate::sitting::known::KnownAtStart;
use crate::sitting::late_diagnosis;
use crate::sitting::opening::{self, Answering, Sitting};
use crate::sitting::registering;
use crate::sitting::signing::Signing;
use crate::sitting::sources::{On, Sources, calibrated};

/// Take up a run that has not ended
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// The record; without one, the only unfinished run in the folder
    record: Option<PathBuf>,
    /// Who is at the bench now
    #[arg(long, value_name = "NAME")]
    operator: Option<String>,
    #[command(flatten)]
    records: Records,
    /// Answers from a file instead of a person; only for a scripted run
    #[arg(long, value_name = "FILE")]
    answers: Option<PathBuf>,
    /// Folder that the key files of the people file are looked for in
    #[arg(long, value_name = "DIR", default_value = ".")]
    keys: PathBuf,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let path = match &arguments.record {
        Some(record) => arguments.records.found(record)?,
        None => only_unfinished(&arguments.records)?,
    };
    let (operator, answers) = (arguments.operator.as_deref(), arguments.answers.as_deref());
    take_up(&path, operator, answers, &arguments.keys)
}

/// Takes up the run of this record.
pub(in crate::cli) fn take_up(
    path: &Path,
    operator: Option<&str>,
    answers: Option<&Path>,
    keys: &Path,
) -> Result<Exit, Fault> {
    let (journal, contents) = Journal::resume::<Entry>(path).map_err(refused)?;
    let replayed = replay(&contents.entries).map_err(Fault::damaged)?;
    if let Some(run) = awaiting(&contents.entries) {
        let answering = answering_as(run.opening.mode, operator, answers)?;
        let replayed = (&replayed.runner, &replayed.procedure);
        return late_diagnosis::take_up(journal, replayed, answering, &run).map(Exit::from);
    }
    let run = unended(&replayed.runner, &contents.entries)?;
    let people = run.opening.people.as_ref().and_then(|file| read_people(&file.text).ok());
    let mut answering = answering_as(run.opening.mode, operator, answers)?;
    let on = On {
        procedure: &replayed.procedure,
        equipment: replayed.equipment.as_ref(),
        bench: replayed.bench.as_ref(),
        rehearsed: run.opening.rehearsal.as_ref(),
    };
    let sources = Sources::reach(&on, &answering.clock, None)?;
    if let Some(hands) = &sources.hands {
        // What was turned and placed before stands as it was left.
        contents
            .entries
            .iter()
            .filter_map(|entry| entry.event.key())
            .for_each(|key| hands.probe(key));
    }
    // Outputs are off by now, whatever else keeps the run from being taken up.
    if operator.is_none() {
        sources.tell_found();
    }
    let newest = contents.entries.iter().map(|entry| entry.at.wall).max();
    let known = KnownAtStart::at(registering::folder(path), newest, &answering);
    let known = known.map_err(|error| sources.with_found(registering::refused(error)))?;
    let ready = || {
        calibrated(on.bench, known.newest)?;
        let by = answering.admitted(&replayed.runner, people.as_ref(), &known)?;
        let signing = Signing::of(&run.opening, keys.to_owned()).map_err(Fault::damaged)?;
        let (journal, seen) = registering::taken_up(journal, &by)?;
        for words in seen {
            terminal::out(&clean_lines(&format!("The register: {words}\n")));
        }
        Ok((journal, by, signing))
    };
    let (journal, by, signing) = ready().map_err(|fault| sources.with_found(fault))?;
    let torn = contents.torn.map(|torn| TornTail { bytes: torn.bytes, sha256: torn.sha256 });
    let judged_at = Some(known.newest);
    let approval = Some(known.approval.clone());
    let resumed = Event::Resumed { by, program: PROGRAM.to_owned(), torn, judged_at, approval };
    let sitting = Sitting {
        runner: replayed.runner,
        procedure: replayed.procedure,
        run: Some(run),
        journal,
        sources,
        signing,
    };
    Ok(Exit::from(opening::sit(sitting, &mut answering, resumed)))
}

/// A practice that is over, and of which the person has not said what is wrong.
fn awaiting(entries: &[Entry]) -> Option<Run> {
    let run = Run::fold(entries)?;
    (run.voided.is_none() && run.awaits_diagnosis()).then_some(run)
}

/// The run so far, if it may go on.
fn unended(runner: &Runner, entries: &[Entry]) -> Result<Run, Fault> {
    if !runner.is_resumable() {
        return Err(Fault::failed("this run has ended for good").help("start a new one"));
    }
    let Some(run) = Run::fold(entries) else {
        return Err(Fault::damaged("line 1 is not the start of a run"));
    };
    if run.practised().is_some() {
        let fault = Fault::failed("this practice is over: what was hidden has been told");
        return Err(fault.help("start a new one"));
    }
    if let Some(void) = &run.voided {
        let fault = Fault::failed(format!("this run was declared void: {}", void.why));
        return Err(fault.help("start a new one"));
    }
    Ok(run)
}

/// Who answers from here on: what was begun as a script goes on as one, and nothing else does.
fn answering_as(
    mode: Mode,
    operator: Option<&str>,
    answers: Option<&Path>,
) -> Result<Answering, Fault> {
    let mut answering = opening::answering(operator, answers)?;
    let is_scripted = answering.mode == Mode::Scripted;
    match mode {
        Mode::Rehearsal => answering.clock = answering.clock.rehearsing(),
        Mode::Scripted if !is_scripted => {
            return Err(Fault::usage("a scripted run is resumed with --answers"));
        }
        Mode::Real if is_scripted => {
            return Err(Fault::usage("a real run is resumed without --answers"));
        }
        Mode::Scripted | Mode::Real => {}
    }
    Ok(answering)
}

fn refused(error: JournalError) -> Fault {
    match error {
        JournalError::Damaged { .. } => {
            Fault::damaged(error).help("nothing is added to a damaged record; start a new run")
        }
        other => Fault::failed(other),
    }
}

/// The records of runs that may be taken up, those that were live when they were last heard of first, then the oldest. One that cannot be read may be such a run: it is named.
pub(in crate::cli) fn unfinished(records: &Records) -> Result<Vec<(PathBuf, Run)>, Fault> {
    let is_unended = |run: &Run| run.closing.is_none_or(|closing| closing.resumable);
    let is_open = |run: &Run| {
        let goes_on = is_unended(run) && run.practised().is_none() || run.awaits_diagnosis();
        run.voided.is_none() && goes_on
    };
    let runs =
        records.list()?.into_iter().filter_map(|path| match journal::read_file::<Entry>(&path) {
            Ok(contents) => Some((path, Run::fold(&contents.entries)?)),
            Err(error) => {
                terminal::err(&clean_lines(&format!("passed over: {error}\n")));
                None
            }
        });
    let mut runs: Vec<_> = runs.filter(|(_, run)| is_open(run)).collect();
    runs.sort_by_key(|(_, run)| !run.energy.is_energised());
    Ok(runs)
}

fn only_unfinished(records: &Records) -> Result<PathBuf, Fault> {
    let mut runs = unfinished(records)?;
    let folder = records.records.display();
    match runs.len() {
        1 => Ok(runs.remove(0).0),
        0 => Err(none_unfinished(records)),
        n => {
            let fault = Fault::usage(format!("{n} unfinished runs in {folder}: which one?"));
            let live = runs.iter().any(|(_, run)| run.energy.is_energised());
            let live = if live {
                ". LIVE: switch off or pull the plug if you can't take it up at once"
            } else {
                ""
            };
            let lines = runs.iter().map(|(_, run)| format!("\n  {}", in_short(run)));
            Err(fault
                .help(format!("name one: wattstep resume RUN{live}{}", lines.collect::<String>())))
        }
    }
}

/// Why there is nothing to take up: a run that was begun may be gone.
fn none_unfinished(records: &Records) -> Fault {
    let folder = &records.records;
    let index = Index::read(folder).ok().flatten();
    let is_gone = |run: &str| !folder.join(format!("{run}.jsonl")).exists();
    let unfinished = |registered: &Registered| {
        registered.outcome != Some(Outcome::Finished) && !registered.is_void
    };
    let gone = index.iter().flat_map(|index| index.runs());
    let gone =
        gone.filter(|(run, registered)| is_gone(run) && unfinished(registered)).map(|(run, _)| run);
    let gone = gone.collect::<Vec<_>>().join(", ");
    let folder = folder.display();
    if gone.is_empty() {
        let fault = Fault::failed(format!("no unfinished run in {folder}"));
        return fault.help("name another folder with --records DIR");
    }
    Fault::damaged(format!("no unfinished run in {folder}; MISSING, known to the register: {gone}"))
        .help("if the equipment may be live, switch it off first; `wattstep resume RUN` says what is known of one")
}

/// A run in one line: whether it was live when it was last heard of, its name, which begins with its date, and what it is about.
pub(in crate::cli) fn in_short(run: &Run) -> String {
    let live = if run.energy.is_energised() { "LIVE" } else { "" };
    let opening = &run.opening;
    let about = opening.equipment_name.as_ref().unwrap_or(&opening.title);
    format!("{live:<4}  {}  {about}", opening.run)
}
