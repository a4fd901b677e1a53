//! Getting a run ready: files read and checked, the record opened, the session started.

use std::collections::VecDeque;
use std::hash::{BuildHasher, Hasher};
use std::path::{Path, PathBuf};

use chrono::Local;

use super::answers::Answers;
use super::clock::Clock;
use super::exit::Exit;
use super::fault::Fault;
use super::file::{self, Document};
use super::front::Front;
use super::person::Person;
use super::registering;
use super::script::Script;
use super::session::Session;
use super::signal::Signals;
use super::verb::check::Documents;
use super::{terminal, verb};
use crate::bench::{Manual, Trip};
use crate::diagnostic::clean_lines;
use crate::journal::{FORMAT, FileDisk, Journal};
use crate::procedure::{BenchFile, Equipment, Procedure};
use crate::record::{Event, Mode, Opening, Provided, Run};
use crate::runner::{Runner, person_name};

/// The version of this program, for records.
pub(super) const PROGRAM: &str = env!("CARGO_PKG_VERSION");

/// The files of a run, read and checked.
#[derive(Debug)]
pub(super) struct Files {
    pub(super) procedure: (Provided, Procedure),
    pub(super) equipment: Option<(Provided, Equipment)>,
    pub(super) bench: Option<(Provided, BenchFile)>,
}

impl Files {
    /// What is done, in one line.
    fn title(&self) -> String {
        let procedure = &self.procedure.1;
        format!("{} ({}, revision {})", *procedure.title, *procedure.procedure, *procedure.revision)
    }

    /// Which piece of equipment, in one line.
    fn equipment_name(&self) -> Option<String> {
        let (_, equipment) = self.equipment.as_ref()?;
        Some(format!("{}, serial {}", *equipment.equipment, *equipment.serial))
    }
}

/// Whoever answers, with the clock that fits.
pub(super) struct Answering {
    pub(super) front: Box<dyn Front>,
    pub(super) clock: Clock,
    pub(super) mode: Mode,
    pub(super) operator: String,
}

/// Finds out who answers: the person at the terminal, or a script.
pub(super) fn answering(
    operator: Option<&str>,
    answers: Option<&Path>,
) -> Result<Answering, Fault> {
    let signals = Signals::watch()
        .map_err(|error| Fault::failed(format!("cannot watch for signals: {error}")))?;
    if let Some(path) = answers {
        let answers = Answers::read(&file::read(path)?)?;
        let operator = operator.map(str::to_owned).or_else(|| answers.operator.clone());
        let operator = operator.ok_or_else(|| {
            Fault::usage("nobody is named as the operator")
                .help("give --operator NAME, or `operator:` in the answers file")
        })?;
        checked_name(&operator)?;
        let front = Box::new(Script::new(answers, signals));
        return Ok(Answering { front, clock: Clock::skipping(), mode: Mode::Scripted, operator });
    }
    if !terminal::is_interactive() {
        let fault = Fault::usage("there is no terminal to ask questions on");
        return Err(fault.help("run it in a terminal, or give --answers FILE for a scripted run"));
    }
    let person = Person::new(signals);
    let operator = match operator {
        Some(name) => checked_name(name)?.to_owned(),
        None => ask_operator(&person)?,
    };
    Ok(Answering { front: Box::new(person), clock: Clock::real(), mode: Mode::Real, operator })
}

fn ask_operator(person: &Person) -> Result<String, Fault> {
    loop {
        let name = person.line("Your name").map_err(|_| Fault::failed("no name was given"))?;
        if person_name(&name).is_ok() {
            return Ok(name.trim().to_owned());
        }
        terminal::err("  type your name: it goes into the record\n");
    }
}

fn checked_name(operator: &str) -> Result<&str, Fault> {
    let no_name = |_| {
        Fault::usage(format!("\"{operator}\" is no name for the operator"))
            .help("name the person at the bench: it goes into the record")
    };
    person_name(operator).map_err(no_name).map(|()| operator)
}

/// Runs a procedure from its start to its end.
pub(super) fn start(files: Files, records: &Path, mut answering: Answering) -> Result<Exit, Fault> {
    let run = run_name();
    let journal = Journal::<FileDisk>::create(records, &run)
        .map_err(|error| Fault::failed(error).help("give another folder with --records DIR"))?;
    let opening = Opening {
        format: crate::record::FORMAT,
        run,
        program: PROGRAM.to_owned(),
        mode: answering.mode,
        operator: answering.operator.clone(),
        title: files.title(),
        equipment_name: files.equipment_name(),
        procedure: files.procedure.0,
        equipment: files.equipment.as_ref().map(|(file, _)| file.clone()),
        bench: files.bench.as_ref().map(|(file, _)| file.clone()),
    };
    let procedure = files.procedure.1;
    let runner = Runner::new(procedure.clone(), files.equipment.map(|(_, own)| own))
        .on_bench(files.bench.map(|(_, own)| own));
    let journal = registering::announced(journal, &opening);
    let sitting = Sitting { runner, procedure, run: None, journal };
    Ok(sit(sitting, &mut answering, Event::Started(Box::new(opening))))
}

/// What a session goes on from.
pub(super) struct Sitting {
    pub(super) runner: Runner,
    pub(super) procedure: Procedure,
    pub(super) run: Option<Run>,
    pub(super) journal: Journal<FileDisk>,
}

/// Drives a run in one sitting and says where its record is.
pub(super) fn sit(sitting: Sitting, answering: &mut Answering, first: Event) -> Exit {
    let _restore = terminal::Restore::later();
    // A bench switched by hand cannot be lost.
    let Ok(bench) = Trip::arm(Manual) else { return Exit::Instrument };
    let path: PathBuf = sitting.journal.path().to_owned();
    let clock = std::mem::replace(&mut answering.clock, Clock::real());
    let mut session = Session {
        runner: sitting.runner,
        procedure: sitting.procedure,
        run: sitting.run,
        journal: sitting.journal,
        bench,
        front: answering.front.as_mut(),
        clock,
        pending: VecDeque::new(),
    };
    let outcome = session.drive(first);
    let (exit, unregistered) = registering::ended(&session.journal, outcome);
    let record = path.display();
    let mut last = format!("{}Record: {record}\n", unregistered.unwrap_or_default());
    if session.runner.is_resumable() {
        last.push_str(&format!("To take it up again: wattstep resume {record}\n"));
    }
    session.front.show(&clean_lines(&last));
    exit
}

/// A name for a run that sorts by time and is not given twice.
fn run_name() -> String {
    const LETTERS: &[u8] = b"0123456789abcdefghjkmnpqrstvwxyz";
    let mut random = std::collections::hash_map::RandomState::new().build_hasher().finish();
    let mut name = Local::now().format("%Y%m%d-%H%M%S-").to_string();
    for _ in 0..5 {
        let letter = LETTERS.get((random % 32) as usize).copied().unwrap_or(b'0');
        name.push(char::from(letter));
        random /= 32;
    }
    name
}

/// Reads a procedure and the files that go with it, and refuses what the checks refuse.
pub(super) fn files(
    procedure: Document,
    equipment: Option<&Path>,
    bench: Option<&Path>,
) -> Result<Files, Fault> {
    let equipment = equipment.map(file::read).transpose()?;
    let bench = bench.map(file::read).transpose()?;
    verb::check::sound(Documents { procedure, equipment, bench })
}

const _: () =
    assert!(FORMAT == crate::record::FORMAT as u64, "one number for the format of a record");
