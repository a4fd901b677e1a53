//! The session: carries effects out in order and turns what comes back into events.

use std::collections::{BTreeMap, VecDeque};
use std::path::Path;

use super::clock::Clock;
use super::front::{Front, Reply};
use super::screen;
use super::signing::Signing;
use super::sources::AnyBench;
use super::supervision::Refusals;
use crate::bench::simulated::SimulatedBench;
use crate::bench::{Limits, Trip};
use crate::diagnostic::clean_lines;
use crate::journal::{self, Disk, Journal, JournalError};
use crate::procedure::Procedure;
use crate::record::{Entry, Event, Fact, Names, Outcome, Reason, Run};
use crate::runner::{Effect, Question, Runner, Setting};

/// One sitting at the bench. It holds the four outside things; the runner holds everything else.
pub(super) struct Session<'a, D: Disk> {
    pub(super) runner: Runner,
    pub(super) procedure: Procedure,
    pub(super) run: Option<Run>,
    pub(super) journal: Journal<D>,
    pub(super) bench: Trip<AnyBench>,
    /// The simulated bench of a rehearsal: it has to be told where the probes are.
    pub(super) hands: Option<SimulatedBench>,
    /// How signatures are got; none where nobody signs.
    pub(super) signing: Option<Signing>,
    pub(super) front: &'a mut dyn Front,
    pub(super) clock: Clock,
    /// What has happened and is not yet told to the runner: it comes before the next question.
    pub(super) pending: VecDeque<Event>,
    /// The instruments that have not confirmed off, with their outputs.
    pub(super) not_off: BTreeMap<String, Vec<String>>,
    /// What instruments gave that could not be taken.
    pub(super) refusals: Refusals,
}

/// What a batch of effects leads to.
enum AfterBatch {
    Event(Event),
    Over(Outcome),
}

impl<D: Disk> Session<'_, D> {
    /// Drives the run from this event to its end.
    pub(super) fn drive(&mut self, first: Event) -> Outcome {
        self.clock.begin_vigil();
        let mut event = first;
        loop {
            let failure = match &event {
                Event::RecordFailed { error } => Some(error.clone()),
                _ => None,
            };
            let effects = self.runner.handle(self.moment(&event), event);
            if effects.is_empty() && !self.runner.is_running() {
                return failure.map_or(Outcome::LeftUnfinished, |error| self.end_missing(&error));
            }
            match self.carry_out(effects) {
                AfterBatch::Event(next) => event = self.unless_upset(next),
                AfterBatch::Over(outcome) => return outcome,
            }
        }
    }

    /// Carries out a batch; the first effect that brings an event back ends it.
    fn carry_out(&mut self, effects: Vec<Effect>) -> AfterBatch {
        for effect in effects {
            let next = match effect {
                Effect::OutputsOff => {
                    self.outputs_off();
                    None
                }
                Effect::Record(entry) => self.record(&entry),
                Effect::Warn(notice) => {
                    self.front.notice(&notice);
                    None
                }
                Effect::Advise(advice) => {
                    self.front.advise(advice);
                    None
                }
                Effect::Energise(setting) => self.energise(setting),
                Effect::Ask(question) => {
                    self.hear_of_off();
                    Some(self.pending.pop_front().unwrap_or_else(|| self.ask(&question)))
                }
                Effect::Wait { question, span } => {
                    self.hear_of_off();
                    let pending = self.pending.pop_front();
                    Some(pending.unwrap_or_else(|| self.wait(&question, span)))
                }
                Effect::Finish(outcome) => {
                    self.finish(outcome);
                    return AfterBatch::Over(outcome);
                }
            };
            if let Some(event) = next {
                return AfterBatch::Event(event);
            }
        }
        // The runner had nothing to ask: nothing can be taken for granted any more.
        AfterBatch::Event(Event::Abandoned { reason: Reason::NothingToAsk {} })
    }

    /// An answer, unless the clocks say that time did not go on as it should while it was waited for: then it counts no
    /// longer, and that comes instead.
    fn unless_upset(&self, event: Event) -> Event {
        if event.is_answer() { self.clock.upset().unwrap_or(event) } else { event }
    }

    /// Lets connected outputs come up; what a person switches needs nothing here.
    fn energise(&mut self, setting: Setting) -> Option<Event> {
        if let Some(upset) = self.clock.upset() {
            return Some(upset);
        }
        let Some(ceiling) = setting.ceiling.filter(|_| !setting.outputs.is_empty()) else {
            self.bench.leave_to_hands(setting.source);
            return None;
        };
        let (voltage, current) = (ceiling.voltage.to_f64(), ceiling.current.to_f64());
        let limits = Limits { channels: setting.outputs, voltage, current };
        let lost = self.bench.energise(&limits).err()?;
        Some(self.lost(lost))
    }

    fn record(&mut self, entry: &Entry) -> Option<Event> {
        // The entry comes right before what energises: a record or register that is gone is found here.
        if let Err(error) = self.journal.append(entry) {
            if self.run.is_none() {
                self.front.show(&clean_lines(&format!("error: nothing was begun: {error}\n")));
            }
            // What else has happened fits nothing any more: it is made safe, and the person is asked for that.
            self.pending.clear();
            return Some(record_failed(&error));
        }
        match &mut self.run {
            Some(run) => run.add(entry),
            None => self.run = Run::begin(entry),
        }
        let names = self.run.as_ref().map_or(Names::Unchecked, |run| run.opening.names());
        self.front.entry(entry, names);
        self.tell_what_it_takes(entry);
        None
    }

    /// Tells a person what to have at hand, once, when the facts are in and nothing was done yet.
    fn tell_what_it_takes(&mut self, entry: &Entry) {
        let opens = |fact: &Fact| matches!(fact, Fact::StageOpened { .. });
        let Some(run) = self.run.as_ref().filter(|_| self.front.takes_time()) else { return };
        let is_first = || run.facts().filter(|fact| opens(fact)).count() == 1;
        if entry.facts.iter().any(opens) && is_first() {
            let words = screen::before(run, &self.runner.at_hand(), self.front.style());
            self.front.show(&words);
        }
    }

    fn ask(&mut self, question: &Question) -> Event {
        if let Some(hands) = &self.hands {
            hands.probe(&question.key);
            self.clock.pass_hands();
        }
        loop {
            let reply = match self.put(question) {
                Ok(reply) => reply,
                Err(event) => return event,
            };
            if let Some(event) = self.event(question, reply) {
                return event;
            }
        }
    }

    /// Turns a reply into an event; `None` when the question has to be put again.
    pub(super) fn event(&mut self, question: &Question, reply: Reply) -> Option<Event> {
        let (key, origin) = (question.key.clone(), self.front.origin());
        Some(match reply {
            Reply::Measure => return self.measure(question),
            Reply::Answer(text) => return self.signed_answer(question, key, text),
            Reply::Done => Event::Acknowledged { key, origin },
            Reply::Cannot(reason) => Event::Declined { key, reason, origin },
            Reply::Note(text) => Event::Noted { text },
            Reply::Attach(path) => return self.attach(question, &path),
            Reply::Probe(point) => return self.probe(question, point),
            Reply::HandOver { to, remarks } => return self.signed_hand_over(question, to, remarks),
            Reply::Stop(reason) => Event::Halted { reason },
            Reply::Leave(reason) => Event::Abandoned { reason },
            Reply::Interrupted(signal) => Event::Interrupted { signal },
            Reply::Cut => return None,
        })
    }

    /// Puts a file beside the record; a file that cannot be had is told and asked for again.
    fn attach(&mut self, question: &Question, path: &Path) -> Option<Event> {
        let folder = self.journal.path().parent().unwrap_or(Path::new(".")).to_owned();
        let run = self.run.as_ref()?.opening.run.clone();
        match journal::attach(&folder, &run, path) {
            Ok(file) => {
                let key = matches!(question.expects, crate::runner::Expects::File)
                    .then(|| question.key.clone());
                Some(Event::Attached {
                    key,
                    name: file.name,
                    sha256: file.sha256,
                    bytes: file.bytes,
                })
            }
            Err(error) => {
                self.front.show(&clean_lines(&format!("  not attached: {error}\n")));
                None
            }
        }
    }

    /// The run is over for the runner, but the record does not say so.
    fn end_missing(&mut self, error: &str) -> Outcome {
        let text = format!("\nTHE END OF THE RUN CAN'T BE WRITTEN: {error}\n");
        self.front.show(&clean_lines(&text));
        self.finish(Outcome::CouldNotRecord);
        Outcome::CouldNotRecord
    }

    fn finish(&mut self, outcome: Outcome) {
        if let Some(run) = &self.run {
            // What happened after the record failed is known to the runner alone.
            let unmeasured = self.runner.unmeasured();
            self.front.finish(outcome, self.runner.energy(), &unmeasured, run.opening.mode);
            if let Some(why) = self.hands.as_ref().and_then(SimulatedBench::trouble) {
                let words =
                    format!("The simulated bench could not answer all that was asked: {why}\n");
                self.front.show(&clean_lines(&words));
            }
            let fault =
                run.opening.rehearsal.as_ref().and_then(|rehearsed| rehearsed.fault.as_ref());
            if let Some(fault) = fault.filter(|_| outcome == Outcome::Finished) {
                let words = format!(
                    "The rehearsed fault {fault} was not found. Where answers come from a file or a person, they hide what the \
                     simulated equipment would have shown.\n"
                );
                self.front.show(&clean_lines(&words));
            }
        }
    }
}

/// The record or its register takes no more.
pub(super) fn record_failed(error: &JournalError) -> Event {
    Event::RecordFailed { error: error.to_string() }
}

/// A run of which not even the first entry could be written.
pub(super) fn nobody_to_ask() -> Event {
    Event::Abandoned { reason: Reason::NotBegun {} }
}
