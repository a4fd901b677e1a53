//! Getting a run ready: files read and checked, the record opened, the session started.

use std::path::{Path, PathBuf};

use chrono::Local;

use super::answers::Answers;
use super::chance::random;
use super::clock::Clock;
use super::equipment_questions::{self, AskedBy, EquipmentAnswered};
use super::front::Front;
use super::known::KnownAtStart;
use super::person::PersonFront;
use super::registering;
use super::rehearsal::{self, RehearsalOptions, SIMULATED};
use super::script::Script;
use super::session::Session;
use super::signal::Signals;
use super::signing::Signing;
use super::sources::{On, Sources, calibrated};
use super::staff::{Staff, admitted};
use super::supervision::Refusals;
use crate::bench::instruments::OutputFoundOn;
use crate::diagnostic::{clean_lines, cut};
use crate::journal::register;
use crate::journal::{FORMAT, FileDisk, Journal};
use crate::procedure::{BenchFile, Equipment, People, Procedure, bundled, person_name};
use crate::quantity::{Dimension, Quantity};
use crate::record::{
    Event, Mode, NameRefusal, Opening, Outcome, OutputOn, PROGRAM, Provided, Rehearsed, Run,
};
use crate::runner::Runner;
use crate::shell::documents::{self, Documents, SoundFiles};
use crate::shell::fault::Fault;
use crate::shell::file::{self, NamedFile};
use crate::shell::terminal;

/// The files of a run, read and checked.
#[derive(Debug)]
pub(crate) struct Files {
    pub(crate) procedure: (Provided, Procedure),
    pub(crate) equipment: Option<(Provided, Equipment)>,
    pub(crate) bench: Option<(Provided, BenchFile)>,
    /// Whose people work here; without them names are taken as they are typed.
    pub(crate) staff: Option<Staff>,
    /// What a rehearsal rests on; none for a real bench.
    pub(super) rehearsed: Option<Rehearsed>,
}

impl Files {
    /// What is done, in one line.
    pub(crate) fn title(&self) -> String {
        let procedure = &self.procedure.1;
        format!("{} ({}, revision {})", *procedure.title, *procedure.procedure, *procedure.revision)
    }

    /// Which piece of equipment, in one line.
    pub(crate) fn equipment_name(&self) -> Option<String> {
        let (_, equipment) = self.equipment.as_ref()?;
        Some(format!("{}, serial {}", *equipment.equipment, *equipment.serial))
    }
}

/// The one who answers, with the clock that fits.
pub(crate) struct Answering {
    pub(super) front: Box<dyn Front>,
    pub(crate) clock: Clock,
    pub(crate) mode: Mode,
    /// Who is at the bench; none before the person was asked.
    pub(super) operator: Option<String>,
}

/// Finds out who answers: the person at the terminal, or a script. Nobody is asked anything yet.
pub(crate) fn answering(
    operator: Option<&str>,
    answers: Option<&Path>,
) -> Result<Answering, Fault> {
    let signals = signals()?;
    if let Some(path) = answers {
        let answers = Answers::read(&file::read(path)?)?;
        let operator = operator.map(str::to_owned).or_else(|| answers.operator.clone());
        let operator = operator.ok_or_else(|| {
            Fault::usage("nobody is named as the operator")
                .help("give --operator NAME, or `operator:` in the answers file")
        })?;
        checked_name(&operator)?;
        let front = Box::new(Script::new(answers, signals));
        let operator = Some(operator);
        return Ok(Answering { front, clock: Clock::skipping(), mode: Mode::Scripted, operator });
    }
    if !terminal::is_interactive() {
        let fault = Fault::usage("there is no terminal to ask questions on");
        return Err(fault.help("run it in a terminal, or give --answers FILE for a scripted run"));
    }
    let operator = operator.map(checked_name).transpose()?.map(str::to_owned);
    let front = Box::new(PersonFront::new(signals));
    Ok(Answering { front, clock: Clock::real(), mode: Mode::Real, operator })
}

fn signals() -> Result<Signals, Fault> {
    Signals::watch().map_err(|error| Fault::failed(format!("cannot watch for signals: {error}")))
}

impl Answering {
    /// Who is at the bench, asked for where nobody was named, and admitted; with every output off by then.
    pub(crate) fn admitted(
        &mut self,
        runner: &Runner,
        people: Option<&People>,
        known: &KnownAtStart,
    ) -> Result<String, Fault> {
        let name = match self.operator.take() {
            Some(name) => name,
            None => ask_operator(&PersonFront::new(signals()?), people)?,
        };
        let name = admitted(runner, &name, known.newest)?;
        known.tell(self.front.as_mut());
        self.operator = Some(name.clone());
        Ok(name)
    }

    /// Fits the clock to the bench; a script never energises real equipment.
    pub(crate) fn fit(&mut self, files: &Files) -> Result<(), Fault> {
        if files.rehearsed.is_some() {
            let clock = std::mem::replace(&mut self.clock, Clock::real());
            self.clock = clock.rehearsing();
            return Ok(());
        }
        let is_connected = files.bench.as_ref().is_some_and(|(_, bench)| bench.is_connected());
        if self.mode == Mode::Scripted && is_connected {
            let fault = Fault::usage("a script doesn't switch connected instruments");
            return Err(fault.help("give --bench simulated, or a bench file without connections"));
        }
        Ok(())
    }
}

/// Asks until somebody is named, of the staff where there is one; whether that person may be here is looked at later.
fn ask_operator(person: &PersonFront, people: Option<&People>) -> Result<String, Fault> {
    let prompt = if people.is_some() { "Your name or identity" } else { "Your name" };
    loop {
        let name = person.line(prompt).map_err(|_| Fault::failed("no name was given"))?;
        let is_of_staff = people.is_none_or(|people| people.find(&name).is_some());
        match person_name(&name) {
            Ok(()) if is_of_staff => return Ok(name.trim().to_owned()),
            Ok(()) => {
                let words = "  nobody on the staff: type the whole name, or the identity, as in the people file\n";
                terminal::err(words);
            }
            Err(reason) => terminal::err(&format!("  {reason}: it goes into the record\n")),
        }
    }
}

fn checked_name(operator: &str) -> Result<&str, Fault> {
    let no_name = |reason: NameRefusal| {
        let shown = cut(operator, 60);
        Fault::usage(format!("\"{shown}\" is not a name for the operator: {reason}"))
            .help("name the person at the bench: it goes into the record")
    };
    person_name(operator).map_err(no_name).map(|()| operator)
}

/// Runs a procedure from its start to its end.
pub(crate) fn start(
    mut files: Files,
    records: &Path,
    mut answering: Answering,
    log: Option<&Path>,
) -> Result<Outcome, Fault> {
    // Signals end the sitting from here on, and outputs go off before anybody is asked for anything: an earlier run may have left
    // them on.
    let on = On {
        procedure: &files.procedure.1,
        equipment: files.equipment.as_ref().map(|(_, equipment)| equipment),
        bench: files.bench.as_ref().map(|(_, bench_file)| bench_file),
        rehearsed: files.rehearsed.as_ref(),
    };
    let sources = Sources::reach(&on, &answering.clock, log)?;
    let asks_for_equipment = files.equipment.is_none() && answering.mode == Mode::Real;
    if answering.operator.is_none() || asks_for_equipment {
        sources.tell_found();
    }
    if asks_for_equipment {
        files = with_equipment(files).map_err(|fault| sources.with_found(fault))?;
    }
    let procedure = files.procedure.1.clone();
    let equipment = files.equipment.as_ref().map(|(_, equipment)| equipment.clone());
    let bench = files.bench.as_ref().map(|(_, bench_file)| bench_file.clone());
    let people = files.staff.as_ref().map(|staff| staff.people.clone());
    let runner = Runner::new(procedure.clone(), equipment).on_bench(bench).with_people(people);
    let ready = ready(&files, records, &mut answering, &runner);
    let (opening, signing, journal) = ready.map_err(|fault| sources.with_found(fault))?;
    let sitting = Sitting { runner, procedure, run: None, journal, sources, signing };
    Ok(sit(sitting, &mut answering, Event::Started(Box::new(opening))))
}

/// The files of a run with that of the equipment, for which the person is asked: what is read is of one set, and its facts outlive
/// the run.
fn with_equipment(files: Files) -> Result<Files, Fault> {
    let named = |file: Provided| NamedFile { shown: file.name.clone(), file };
    let document = named(files.procedure.0);
    let _restore = terminal::Restore::later();
    let person = PersonFront::new(signals()?);
    let asked_by = AskedBy { document: &document, procedure: &files.procedure.1 };
    match equipment_questions::ask(&person, asked_by, None)? {
        EquipmentAnswered::Whole(equipment) => {
            let bench = files.bench.map(|(file, _)| named(file));
            let documents = Documents { procedure: document, equipment: Some(equipment), bench };
            let SoundFiles { procedure, equipment, bench } = documents::sound(documents)?;
            Ok(Files { procedure, equipment, bench, ..files })
        }
        EquipmentAnswered::Left(path) => {
            let fault = Fault::failed("left before the equipment was known; nothing was begun");
            Err(match path {
                Some(path) => fault.help(format!(
                    "what was answered is in {}: the same name goes on with it",
                    path.display()
                )),
                None => fault,
            })
        }
    }
}

/// What may still keep a run from beginning, with every output off.
fn ready(
    files: &Files,
    records: &Path,
    answering: &mut Answering,
    runner: &Runner,
) -> Result<(Opening, Option<Signing>, Journal<FileDisk>), Fault> {
    let elsewhere = |error| Fault::failed(error).help("give another folder with --records DIR");
    let known = KnownAtStart::at(records, None, answering).map_err(elsewhere)?;
    calibrated(files.bench.as_ref().map(|(_, bench)| bench), known.newest)?;
    let people = files.staff.as_ref().map(|staff| &staff.people);
    let operator = answering.admitted(runner, people, &known)?;
    let opening = opening(files, answering.mode, operator, &known);
    let keys = files.staff.as_ref().map(|staff| staff.folder.clone()).unwrap_or_default();
    let signing = Signing::of(&opening, keys).map_err(Fault::failed)?;
    // Before the record is made, which would be left empty.
    let journal = register::may_be_opened(records)
        .and_then(|()| Journal::<FileDisk>::create(records, &opening.run));
    let journal = registering::announced(journal.map_err(elsewhere)?, &opening);
    Ok((opening, signing, journal))
}

fn opening(files: &Files, mode: Mode, operator: String, known: &KnownAtStart) -> Opening {
    Opening {
        format: crate::record::FORMAT,
        run: run_name(),
        program: PROGRAM.to_owned(),
        mode: if files.rehearsed.is_some() { Mode::Rehearsal } else { mode },
        operator,
        judged_at: Some(known.newest),
        title: files.title(),
        equipment_name: files.equipment_name(),
        procedure: files.procedure.0.clone(),
        equipment: files.equipment.as_ref().map(|(file, _)| file.clone()),
        bench: files.bench.as_ref().map(|(file, _)| file.clone()),
        people: files.staff.as_ref().map(|staff| staff.file.clone()),
        signers: files.staff.as_ref().and_then(|staff| staff.signers.clone()),
        approval: Some(known.approval.clone()),
        rehearsal: files.rehearsed.clone(),
    }
}

/// What a session goes on from.
pub(crate) struct Sitting {
    pub(crate) runner: Runner,
    pub(crate) procedure: Procedure,
    pub(crate) run: Option<Run>,
    pub(crate) journal: Journal<FileDisk>,
    pub(crate) sources: Sources,
    /// How signatures are got; none where nobody signs.
    pub(crate) signing: Option<Signing>,
}

/// Drives a run in one sitting and says where its record is.
pub(crate) fn sit(sitting: Sitting, answering: &mut Answering, first: Event) -> Outcome {
    let _restore = terminal::Restore::later();
    let Sitting { runner, procedure, run, journal, sources, signing } = sitting;
    let Sources { bench, found, hands } = sources;
    let path: PathBuf = journal.path().to_owned();
    let clock = std::mem::replace(&mut answering.clock, Clock::real());
    let found = found.into_iter().map(|OutputFoundOn { instrument, output, set_to, .. }| {
        let set_to = set_to.and_then(|volts| Quantity::from_f64(volts, Dimension::VOLTAGE));
        Event::FoundOn(OutputOn { instrument, output, set_to, came_on: false })
    });
    let mut session = Session {
        runner,
        procedure,
        run,
        journal,
        bench,
        hands,
        signing,
        front: answering.front.as_mut(),
        clock,
        pending: found.collect(),
        not_off: std::collections::BTreeMap::new(),
        refusals: Refusals::default(),
    };
    let outcome = session.practise(first);
    let (outcome, unregistered) = registering::ended(&session.journal, outcome);
    let record = path.display();
    let is_begun = session.journal.lines() > 0;
    let empty = if is_begun { "" } else { ", EMPTY: nothing was begun" };
    let mut last = format!("{}Record: {record}{empty}\n", unregistered.unwrap_or_default());
    let practised = session.run.as_ref().and_then(Run::practised);
    if session.run.as_ref().is_some_and(Run::awaits_diagnosis) {
        last.push_str(&format!("To say what is wrong: wattstep resume {record}\n"));
    } else if is_begun && practised.is_none() && session.runner.is_resumable() {
        last.push_str(&format!("To take it up again: wattstep resume {record}\n"));
    }
    session.front.show(&clean_lines(&last));
    outcome
}

/// A name for a run that sorts by time and is not given twice.
fn run_name() -> String {
    const LETTERS: &[u8] = b"0123456789abcdefghjkmnpqrstvwxyz";
    let mut random = random();
    let mut name = Local::now().format("%Y%m%d-%H%M%S-").to_string();
    for _ in 0..5 {
        let letter = LETTERS.get((random % 32) as usize).copied().unwrap_or(b'0');
        name.push(char::from(letter));
        random /= 32;
    }
    name
}

/// Reads a procedure and the files that go with it, and refuses what the checks refuse.
pub(crate) fn files(
    procedure: NamedFile,
    equipment: Option<&Path>,
    bench: Option<&Path>,
    wanted: RehearsalOptions<'_>,
) -> Result<Files, Fault> {
    let simulated = bench.is_some_and(|path| path.as_os_str() == SIMULATED);
    let mut equipment = equipment.map(file::read).transpose()?;
    let bench = if simulated {
        equipment = equipment.or_else(|| simulated_equipment(&procedure));
        Some(documents::bundled_file("simulated.bench.yaml", bundled::SIMULATED_BENCH))
    } else {
        bench.map(file::read).transpose()?
    };
    let SoundFiles { procedure, equipment, bench } =
        documents::sound(Documents { procedure, equipment, bench })?;
    let mut files = Files { procedure, equipment, bench, staff: None, rehearsed: None };
    if simulated && files.equipment.is_none() {
        let fault = Fault::usage("the simulated bench works with the facts of an equipment file");
        return Err(fault.help("give --equipment FILE with your own procedure"));
    }
    if let Some((_, equipment)) = files.equipment.as_ref().filter(|_| simulated) {
        let rehearsed = rehearsal::rehearsed((&files.procedure.1, equipment), wanted)?;
        files.rehearsed = Some(rehearsed);
    } else if wanted.is_any() {
        let fault =
            Fault::usage("faults, models, logs and practice are those of the simulated bench");
        return Err(fault.help("give --bench simulated with them"));
    }
    Ok(files)
}

/// The invented equipment that comes with a bundled procedure, for a rehearsal without an equipment file.
fn simulated_equipment(procedure: &NamedFile) -> Option<NamedFile> {
    let name = procedure.shown.strip_suffix(" (bundled)")?;
    Some(documents::bundled_file("equipment.yaml", bundled::equipment(name)?))
}

const _: () =
    assert!(FORMAT == crate::record::FORMAT as u64, "one number for the format of a record");
