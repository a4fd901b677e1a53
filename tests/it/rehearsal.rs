//! Every bundled procedure, walked on the simulated bench: sound equipment finishes, and each fault stops the run where an
//! experienced technician expects it.

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::time::Duration;

use chrono::DateTime;
use wattstep::test_points::bench::{BenchClock, Rehearsal, SimulatedBench};
use wattstep::test_points::procedure::{
    BenchFile, Equipment, Guard, ModelFile, OutputValue, Point, Procedure, Step, Subject, bundled,
    check, read_bench, read_equipment, read_model, read_procedure,
};
use wattstep::test_points::quantity::{Dimension, Unit};
use wattstep::test_points::record::{
    Event, FORMAT, Fact, Mode, Moment, Opening, Origin, Outcome, Provided, SampleSpan, Source,
    Trace,
};
use wattstep::test_points::runner::{Effect, Expects, Question, Runner};

/// What a person takes for a question (s of bench time).
const PAUSE_S: u64 = 2;

/// The samples of a watch.
const SAMPLES: u64 = 20;

/// What belongs to a bundled procedure.
struct Set {
    procedure: Procedure,
    equipment: Equipment,
    model: ModelFile,
    bench: BenchFile,
}

impl Set {
    fn new(name: &str) -> Self {
        Self {
            procedure: read_procedure(bundled::text(name).unwrap()).unwrap(),
            equipment: read_equipment(bundled::equipment(name).unwrap()).unwrap(),
            model: read_model(bundled::model(name).unwrap()).unwrap(),
            bench: read_bench(bundled::SIMULATED_BENCH).unwrap(),
        }
    }

    fn start(&self, fault: Option<&str>) -> SimulatedBench {
        let (procedure, equipment, model) = (&self.procedure, &self.equipment, &self.model);
        let rehearsal = Rehearsal {
            procedure,
            equipment,
            model,
            fault,
            circuit: None,
            clock: &BenchClock::default(),
            log: None,
        };
        SimulatedBench::start(&rehearsal).unwrap()
    }

    fn step(&self, key: &str) -> Option<&Step> {
        let name = key.split('.').next().unwrap();
        self.procedure.steps().map(|(_, step)| step).find(|step| step.step.value == name)
    }
}

/// A line to one instrument.
struct Line(BufReader<TcpStream>);

impl Line {
    /// Sends a message without a reply and waits until it has been carried out.
    fn tell(&mut self, message: &str) {
        assert_eq!(self.ask(&format!("{message};*OPC?")), "1");
    }

    fn ask(&mut self, message: &str) -> String {
        self.0.get_mut().write_all(format!("{message}\n").as_bytes()).unwrap();
        let mut reply = String::new();
        self.0.read_line(&mut reply).unwrap();
        reply.trim().to_owned()
    }
}

/// How a person takes what is seen.
#[derive(Clone, Copy, PartialEq)]
enum Eyes {
    /// As it is.
    Open,
    /// As good, whatever it is: only readings can stop the run.
    Shut,
}

/// A walk through a procedure on the simulated bench.
struct Walk<'a> {
    set: &'a Set,
    bench: SimulatedBench,
    lines: BTreeMap<String, Line>,
    eyes: Eyes,
    elapsed_ms: u64,
    /// The keys of the questions so far.
    asked: BTreeSet<String>,
    /// The readings taken by an instrument.
    measured: usize,
    /// What is watched was sampled just now.
    sampled: bool,
    stop: Option<String>,
    outcome: Option<Outcome>,
    /// The last answer, for the message of a test that fails.
    last: String,
}

impl<'a> Walk<'a> {
    fn new(set: &'a Set, fault: Option<&str>, eyes: Eyes) -> Self {
        let bench = set.start(fault);
        let line = |at| Line(BufReader::new(TcpStream::connect(at).unwrap()));
        let lines = bench.addresses().iter().map(|(name, at)| (name.clone(), line(at))).collect();
        let (elapsed_ms, measured, sampled, stop, outcome) = (0, 0, false, None, None);
        let (asked, last) = (BTreeSet::new(), String::new());
        Self { set, bench, lines, eyes, elapsed_ms, asked, measured, sampled, stop, outcome, last }
    }

    fn line(&mut self, instrument: &str) -> &mut Line {
        self.lines.get_mut(instrument).unwrap()
    }

    fn pass(&mut self, ms: u64) {
        self.elapsed_ms += ms;
        self.bench.pass(Duration::from_millis(ms));
    }

    /// Walks until the run ends or stops.
    fn walk(mut self) -> Self {
        let set = self.set;
        let runner = Runner::new(set.procedure.clone(), Some(set.equipment.clone()));
        let mut runner = runner.on_bench(Some(set.bench.clone()));
        let mut next = Some(Event::Started(Box::new(opening())));
        while let Some(event) = next.take() {
            let wall = DateTime::from_timestamp(0, 0).unwrap().fixed_offset();
            let at = Moment { wall, elapsed_ms: self.elapsed_ms };
            let mut effects = VecDeque::from(runner.handle(at, event));
            while let (None, None, Some(effect)) = (&next, &self.stop, effects.pop_front()) {
                next = self.carry_out(effect);
            }
        }
        self
    }

    fn carry_out(&mut self, effect: Effect) -> Option<Event> {
        match effect {
            Effect::OutputsOff => {
                self.line("supply").tell("INST:NSEL 1;:OUTP OFF;:INST:NSEL 2;:OUTP OFF");
                None
            }
            Effect::Energise(setting) if setting.source == Source::BenchSupply => {
                let limit = setting.ceiling.unwrap().current.to_f64();
                for output in [1, 2] {
                    self.line("supply").tell(&format!("INST:NSEL {output};:CURR {limit};:OUTP ON"));
                }
                None
            }
            Effect::Record(entry) => {
                let stopped = entry.facts.iter().find_map(|fact| match fact {
                    Fact::Stopped { key, reason } => Some(format!(
                        "{}: {}",
                        key.as_ref().map_or("nowhere", |key| key.as_str()),
                        reason.words()
                    )),
                    Fact::Refused { .. } => panic!("refused: {entry:?}"),
                    _ => None,
                });
                self.stop = stopped;
                None
            }
            Effect::Ask(question) => {
                let event = self.answer(&question);
                self.last = format!("{event:?} to {:?}", question.expects);
                Some(event)
            }
            Effect::Wait { question, span } => {
                self.bench.probe(&question.key);
                let left = span.until_ms.saturating_sub(self.elapsed_ms.max(span.from_ms));
                self.sampled = !self.sampled && !question.guards.is_empty();
                if self.sampled {
                    return Some(self.sample(&question, left));
                }
                self.pass(left);
                Some(Event::Ticked)
            }
            Effect::Finish(outcome) => {
                self.outcome = Some(outcome);
                None
            }
            Effect::Warn(_) | Effect::Advise(_) | Effect::Energise(_) => None,
        }
    }

    fn answer(&mut self, question: &Question) -> Event {
        self.bench.probe(&question.key);
        self.asked.insert(question.key.to_string());
        self.pass(PAUSE_S * 1000);
        let key = question.key.clone();
        let origin = Origin::Simulated;
        let entered =
            |text: String| Event::Entered { key: key.clone(), text, origin, signature: None };
        match &question.expects {
            Expects::Value { .. } => self.reading(question),
            Expects::Choice(choices) => {
                let good = || choices.iter().find(|choice| choice.good).unwrap().say.clone();
                let seen = self.bench.look(&key).filter(|_| self.eyes == Eyes::Open);
                entered(seen.unwrap_or_else(good))
            }
            Expects::Done => Event::Acknowledged { key, origin },
            Expects::Word(word) => entered((*word).to_owned()),
            Expects::Confirm => entered(self.confirmed(key.as_str())),
            Expects::Name { .. } => entered("Moss Calloway-Test (invented)".to_owned()),
            Expects::SecondPerson => entered("Tamsin Roe-Test (invented)".to_owned()),
            Expects::Witness { .. } => entered("attended Ines Varga-Test (invented)".to_owned()),
            Expects::Text => entered("rehearsed (invented)".to_owned()),
            Expects::Fact | Expects::File | Expects::TakesOver => panic!("{question:?}"),
        }
    }

    /// What the notice behind a question wants typed: its word, or the mains voltage.
    fn confirmed(&self, key: &str) -> String {
        let name = key.strip_suffix(".hazard").unwrap();
        let stages = self.set.procedure.stages.iter();
        let of_stage = stages
            .filter(|stage| stage.stage.value == name)
            .find_map(|stage| stage.hazard.as_ref());
        let mut steps = self.set.procedure.steps().filter(|(_, step)| step.step.value == name);
        let hazard = of_stage.or_else(|| steps.find_map(|(_, step)| step.hazard.as_ref()));
        let word = hazard.and_then(|hazard| hazard.confirm.as_ref()?.word.as_ref());
        word.map_or_else(|| "230 V".to_owned(), |text| text.value.clone())
    }

    /// Lets a wait pass, with samples of everything that is watched in it.
    fn sample(&mut self, question: &Question, ms: u64) -> Event {
        let trace = |guard: &Guard| Trace {
            point: guard.point.to_string(),
            unit: guard.point.unit().unwrap_or_else(|| Unit::base(Dimension::NONE)),
            spans: Vec::new(),
        };
        let mut traces: Vec<_> = question.guards.iter().map(trace).collect();
        for n in 1..=SAMPLES {
            self.pass(ms / SAMPLES);
            for (guard, trace) in question.guards.iter().zip(&mut traces) {
                let value = self.read(&guard.point).parse().unwrap();
                trace.spans.push(SampleSpan::of(n * ms / SAMPLES, value));
            }
        }
        Event::Sampled { key: question.key.clone(), traces }
    }

    /// What an instrument sends of a point.
    fn read(&mut self, point: &Point) -> String {
        let (channel, what) = match point {
            Point::Function(function) => return self.ask(&function.clone()).1,
            Point::Output { channel, what: OutputValue::Current } => (channel, "CURR"),
            Point::Output { channel, what: OutputValue::Voltage } => (channel, "VOLT"),
        };
        let (_, supply) = self.set.bench.supply(channel).unwrap();
        let number = *supply.channels.get(channel).unwrap().number;
        self.line("supply").ask(&format!("INST:NSEL {number};:MEAS:{what}?"))
    }

    /// Has the meter of a function read it: which meter, and what it sends.
    fn ask(&mut self, function: &str) -> (String, String) {
        let point = Point::Function(function.to_owned());
        let (name, instrument) = self.set.bench.connected(&point).unwrap();
        let dialect = &instrument.connection.as_ref().unwrap().dialect;
        let asked = dialect.question(function).unwrap().to_owned();
        let text = self.line(name).ask(&asked);
        assert_eq!(self.line(name).ask("SYST:ERR?"), "0,\"No error\"", "{function}: {asked}");
        (name.to_owned(), text)
    }

    /// Takes a reading: by an instrument where the procedure names its function, else by a person's eyes.
    fn reading(&mut self, question: &Question) -> Event {
        let key = question.key.clone();
        let step = self.set.step(key.as_str());
        let set = step.and_then(|step| step.set.as_ref());
        if let (Some(_), Expects::Value { bounds, .. }) = (set, &question.expects) {
            let volts = (bounds.low.unwrap().to_f64() + bounds.high.unwrap().to_f64()) / 2.0;
            for output in [1, 2] {
                self.line("supply").tell(&format!("INST:NSEL {output};:VOLT {volts}"));
            }
            self.pass(60_000);
        }
        let read = step.and_then(|step| step.read.as_ref()?.function.as_ref());
        let function = read.or(step.and_then(|step| step.watch.as_ref()?.function.as_ref()));
        let Some(function) = function.filter(|function| function.value != "supply-current") else {
            let text = self.bench.shows(&key).unwrap_or_else(|| panic!("no point for {key}"));
            return Event::Entered {
                key,
                text: text.to_string(),
                origin: Origin::Simulated,
                signature: None,
            };
        };
        let (instrument, text) = self.ask(&function.value.clone());
        self.measured += 1;
        Event::Measured { key, text, instrument }
    }
}

fn opening() -> Opening {
    let none = || Provided { name: String::new(), sha256: String::new(), text: String::new() };
    Opening {
        judged_at: None,
        approval: None,
        format: FORMAT,
        run: "rehearsal".to_owned(),
        program: String::new(),
        mode: Mode::Rehearsal,
        operator: "Wren Adair-Test (invented)".to_owned(),
        title: String::new(),
        equipment_name: None,
        procedure: none(),
        equipment: None,
        bench: None,
        people: None,
        signers: None,
        rehearsal: None,
    }
}

#[test]
fn every_procedure_suits_the_simulated_bench() {
    for name in bundled::NAMES {
        let set = Set::new(name);
        let subject = Subject::new(&set.procedure, Some(&set.equipment), Some(&set.bench));
        assert_eq!(check(&subject), [], "{name}");
    }
}

#[test]
fn sound_equipment_finishes_every_procedure_and_no_line_of_its_model_is_idle() {
    for name in bundled::NAMES {
        let set = Set::new(name);
        let walk = Walk::new(&set, None, Eyes::Open).walk();
        assert_eq!(
            (walk.stop, walk.outcome),
            (None, Some(Outcome::Finished)),
            "{name}: {}",
            walk.last
        );
        assert!(walk.measured >= 5, "{name}: {} readings by instruments", walk.measured);
        let model = &set.model;
        let faults = || model.faults.iter().map(|(_, fault)| fault);
        let points = model.points.iter().chain(model.again.iter()).map(|(key, _)| key);
        let spoilt = faults().flat_map(|fault| fault.points.iter().map(|(key, _)| key));
        let set = model.controls.iter().flat_map(|(_, control)| control.set.iter());
        let looks = faults().flat_map(|fault| fault.looks.iter()).chain(model.looks.iter());
        let looks = looks.map(|(key, _)| key);
        for key in points.chain(spoilt).chain(set.map(|(key, _)| key)).chain(looks) {
            let is_under = |asked: &String| {
                asked
                    .strip_prefix(key.value.as_str())
                    .is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
            };
            assert!(walk.asked.iter().any(is_under), "{name}: nothing asks for {}", key.value);
        }
    }
}

#[test]
fn each_fault_stops_the_run_where_it_is_expected_to_and_by_a_reading_at_the_latest() {
    for name in bundled::NAMES {
        let set = Set::new(name);
        let least = if *name == "amplifier-class-ab" { 6 } else { 2 };
        assert!(set.model.faults.iter().count() >= least, "{name}");
        for (fault, faulty) in set.model.faults.iter() {
            let (fault, says) = (fault.value.as_str(), &faulty.says.value);
            assert!(says.ends_with('.'), "{name}, {fault}: {says}");
            let stop = |eyes| {
                let walk = Walk::new(&set, Some(fault), eyes).walk();
                walk.stop.unwrap_or_else(|| panic!("{name}, {fault}: {}", walk.last))
            };
            let seen = stop(Eyes::Open);
            let after = seen.strip_prefix(faulty.shows_at.value.as_str());
            let is_there = after.is_some_and(|after| after.starts_with([':', '.']));
            assert!(is_there, "{name}, {fault}: {seen}, not at {}", *faulty.shows_at);
            let read = if faulty.looks.is_empty() { seen } else { stop(Eyes::Shut) };
            assert!(read.contains("outside its window"), "{name}, {fault}: {read}");
        }
    }
}
