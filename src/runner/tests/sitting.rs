//! One person at one bench, for a procedure of a few lines.

use chrono::DateTime;

use crate::procedure::{read_bench, read_equipment, read_people, read_procedure};
use crate::record::{Event, Fact, Meaning, Mode, Moment, Opening, Origin, Signature};
use crate::runner::{Effect, Question, Runner};

const HEAD: &str = r#"
format: 1
procedure: sitting
revision: 1
title: A bench for tests (invented)
run_by: technician
known_source: {what: "a fresh 9 V block", between: [8 V, 10 V]}
"#;

/// One charge point with nothing known about what it holds.
pub(super) const ONE_POINT: &str = r#"
charge_points:
  plus: {at: "reservoir plus", below: 2 V}
"#;

/// A cold stage of these steps after a first proof of dead, in short.
pub(super) fn cold(steps: &str) -> String {
    format!(
        "{ONE_POINT}\nstages:\n  - stage: cold\n    title: Cold\n    source: none\n    steps:\n{}",
        indent(steps)
    )
}

/// A procedure in which up to 60 V count as dead, so that voltages can be read in its cold stages.
pub(super) fn at_60_v(procedure: &str) -> String {
    procedure.replace("below: 2 V", "below: 60 V")
}

/// A bench-supply stage of these steps, already proved dead and cleared by the time of `live`.
pub(super) fn rails(steps: &str) -> String {
    format!(
        "{ONE_POINT}\nstages:\n  - stage: rails\n    title: Rails\n    source: bench-supply\n    ceiling: {{voltage: 30 V, \
         current: 1 A}}\n    steps:\n{}",
        indent(&format!("- step: \"on\"\n  set: {{what: Outputs on, power: \"on\"}}\n{steps}"))
    )
}

fn indent(steps: &str) -> String {
    steps.trim_matches('\n').lines().map(|line| format!("      {line}\n")).collect()
}

/// A run at a bench, and the last that came of it.
pub(super) struct RunAtBench {
    runner: Runner,
    now_ms: u64,
    effects: Vec<Effect>,
    question: Option<Question>,
    wait: Option<(u64, u64)>,
}

impl RunAtBench {
    pub(super) fn new(procedure: &str) -> Self {
        Self::with(procedure, None)
    }

    pub(super) fn at_bench(procedure: &str, bench: &str) -> Self {
        Self::begin(procedure, |runner| runner.on_bench(Some(read_bench(bench).unwrap())), None)
    }

    /// A sitting with the people of a shop.
    pub(super) fn staffed(procedure: &str, people: &str) -> Self {
        let staff = |runner: Runner| runner.with_people(Some(read_people(people).unwrap()));
        Self::begin(procedure, staff, None)
    }

    pub(super) fn staffed_at(procedure: &str, people: &str, bench: &str) -> Self {
        let staff = |runner: Runner| runner.with_people(Some(read_people(people).unwrap()));
        let on = |runner: Runner| staff(runner).on_bench(Some(read_bench(bench).unwrap()));
        Self::begin(procedure, on, None)
    }

    /// A sitting at a simulated bench.
    pub(super) fn rehearsing(procedure: &str, bench: &str) -> Self {
        let on_bench = |runner: Runner| runner.on_bench(Some(read_bench(bench).unwrap()));
        Self::open(procedure, on_bench, None, Mode::Rehearsal)
    }

    pub(super) fn with(procedure: &str, equipment: Option<&str>) -> Self {
        Self::begin(procedure, |runner| runner, equipment)
    }

    fn begin(procedure: &str, set_up: impl Fn(Runner) -> Runner, equipment: Option<&str>) -> Self {
        Self::open(procedure, set_up, equipment, Mode::Scripted)
    }

    fn open(
        procedure: &str,
        set_up: impl Fn(Runner) -> Runner,
        equipment: Option<&str>,
        mode: Mode,
    ) -> Self {
        Self::opened(procedure, set_up, equipment, Opening::of_a_test(mode, "Kim Bench-Test"))
    }

    /// A sitting in which results age.
    pub(super) fn aging(procedure: &str, mode: Mode, bench: Option<&str>) -> Self {
        let judged_at = Some(DateTime::UNIX_EPOCH.fixed_offset());
        let opening = Opening { judged_at, ..Opening::of_a_test(mode, "Kim Bench-Test") };
        let bench = bench.map(|text| read_bench(text).unwrap());
        Self::opened(procedure, |runner| runner.on_bench(bench.clone()), None, opening)
    }

    /// Takes the run up again so much later on the clock, which is behind the newest known time by so much.
    pub(super) fn resume_later(&mut self, by: &str, ms: i64, behind_ms: i64) -> &mut Self {
        self.now_ms = self.now_ms.saturating_add_signed(ms);
        let at = i64::try_from(self.now_ms).unwrap() + 1 + behind_ms;
        let judged_at = Some(DateTime::from_timestamp_millis(at).unwrap().fixed_offset());
        let (by, program) = (by.to_owned(), "0".to_owned());
        self.event(Event::Resumed { by, program, torn: None, judged_at, approval: None })
    }

    /// A sitting in a shop whose people sign.
    pub(super) fn signing(procedure: &str) -> Self {
        let opening = Opening::of_a_test(Mode::Scripted, "Kim Bench-Test");
        let signers = Some(opening.procedure.clone());
        Self::opened(procedure, |runner| runner, None, Opening { signers, ..opening })
    }

    /// A sitting of an earlier version of the program.
    pub(super) fn of_version(procedure: &str, program: &str) -> Self {
        let opening = Opening::of_a_test(Mode::Scripted, "Kim Bench-Test");
        let opening = Opening { program: program.to_owned(), ..opening };
        Self::opened(procedure, |runner| runner, None, opening)
    }

    fn opened(
        procedure: &str,
        set_up: impl Fn(Runner) -> Runner,
        equipment: Option<&str>,
        opening: Opening,
    ) -> Self {
        let text = format!("{HEAD}{procedure}");
        let procedure = read_procedure(&text).unwrap_or_else(|found| panic!("{found:?}\n{text}"));
        let equipment = equipment.map(|text| read_equipment(text).unwrap());
        let mut sitting = Self {
            runner: set_up(Runner::new(procedure, equipment)),
            now_ms: 0,
            effects: Vec::new(),
            question: None,
            wait: None,
        };
        sitting.event(Event::Started(Box::new(opening)));
        sitting
    }

    pub(super) fn event(&mut self, event: Event) -> &mut Self {
        self.now_ms += 1;
        let wall = DateTime::from_timestamp_millis(self.now_ms as i64).unwrap().fixed_offset();
        let effects = self.runner.handle(Moment { wall, elapsed_ms: self.now_ms }, event);
        if !effects.is_empty() {
            (self.question, self.wait) = (None, None);
        }
        for effect in &effects {
            match effect {
                Effect::Ask(question) => self.question = Some(question.as_ref().clone()),
                Effect::Wait { question, span } => {
                    self.question = Some(question.as_ref().clone());
                    self.wait = Some((span.from_ms, span.until_ms));
                }
                _ => {}
            }
        }
        self.effects = effects;
        self
    }

    /// Types an answer to the question at hand.
    pub(super) fn say(&mut self, text: &str) -> &mut Self {
        let (key, text) = (self.key().to_owned(), text.to_owned());
        self.event(Event::Entered { key: key.into(), text, origin: Origin::Typed, signature: None })
    }

    /// Answers with a signature of this person, which says this.
    pub(super) fn sign(&mut self, text: &str, name: &str, meaning: Meaning) -> &mut Self {
        let (key, text) = (self.key().to_owned(), text.to_owned());
        let signature = Some(Box::new(Signature::of_a_test(name, meaning)));
        self.event(Event::Entered { key: key.into(), text, origin: Origin::Typed, signature })
    }

    pub(super) fn say_all(&mut self, texts: &[&str]) -> &mut Self {
        for text in texts {
            self.say(text);
        }
        self
    }

    /// Lets an instrument answer.
    pub(super) fn measure(&mut self, text: &str) -> &mut Self {
        let (key, text) = (self.key().to_owned(), text.to_owned());
        self.event(Event::Measured { key: key.into(), text, instrument: "meter".to_owned() })
    }

    pub(super) fn acknowledge(&mut self) -> &mut Self {
        let key = self.key().to_owned();
        self.event(Event::Acknowledged { key: key.into(), origin: Origin::Typed })
    }

    /// Says that what is asked cannot or will not be done.
    pub(super) fn decline(&mut self, reason: &str) -> &mut Self {
        let (key, reason) = (self.key().into(), reason.into());
        self.event(Event::Declined { key, reason, origin: Origin::Typed })
    }

    pub(super) fn halt(&mut self) -> &mut Self {
        self.event(Event::Halted { reason: "the telephone".into() })
    }

    pub(super) fn resume(&mut self) -> &mut Self {
        let by = "Kim Bench-Test".to_owned();
        self.event(Event::Resumed {
            by,
            program: "0".to_owned(),
            torn: None,
            judged_at: None,
            approval: None,
        })
    }

    /// Lets time pass, and tells the runner so.
    pub(super) fn pass(&mut self, ms: u64) -> &mut Self {
        self.now_ms += ms;
        self.event(Event::Ticked)
    }

    /// Lets the wait at hand run out.
    pub(super) fn sit_out(&mut self) -> &mut Self {
        let (_, until) = self.wait.unwrap();
        self.now_ms = until;
        self.event(Event::Ticked)
    }

    /// Answers everything that making safe asks of one point, up to the first other question.
    pub(super) fn make_safe(&mut self) -> &mut Self {
        for _ in 0..50 {
            match self.key() {
                "make-safe.off" => self.say("off"),
                "make-safe.wait" => self.sit_out(),
                "dead.before" | "dead.after" => self.say("9 V"),
                "dead.stands" => return self,
                key if key.starts_with("dead.") => self.say("0 V"),
                _ => return self,
            };
        }
        panic!("making safe never ends: {}", self.key());
    }

    /// Makes safe, clears the bench and switches on; for procedures of [`rails`].
    pub(super) fn live(&mut self) -> &mut Self {
        self.make_safe_through_clear();
        assert_eq!(self.key(), "on");
        self.say("done")
    }

    fn make_safe_through_clear(&mut self) {
        self.say("clear").make_safe();
        assert_eq!(self.key(), "rails.clear");
        self.say("clear");
    }

    /// The runner itself, for what no event brings about by itself.
    pub(super) fn runner(&mut self) -> &mut Runner {
        &mut self.runner
    }

    /// Whether anything is asked; nothing is once the run is over.
    pub(super) fn is_asked(&self) -> bool {
        self.question.is_some()
    }

    pub(super) fn question(&self) -> &Question {
        self.question.as_ref().unwrap()
    }

    /// The key of the question at hand; empty when there is none.
    pub(super) fn key(&self) -> &str {
        self.question.as_ref().map(|question| question.key.as_str()).unwrap_or_default()
    }

    /// How long the wait at hand is (ms).
    pub(super) fn wait_ms(&self) -> u64 {
        let (from, until) = self.wait.unwrap();
        until - from
    }

    pub(super) fn effects(&self) -> &[Effect] {
        &self.effects
    }

    pub(super) fn facts(&self) -> &[Fact] {
        self.effects
            .iter()
            .find_map(|effect| match effect {
                Effect::Record(entry) => Some(entry.facts.as_slice()),
                _ => None,
            })
            .unwrap_or_default()
    }

    /// Why the last answer was not taken.
    pub(super) fn refusal(&self) -> Option<String> {
        self.facts().iter().find_map(|fact| match fact {
            Fact::Refused { reason, .. } => Some(reason.to_string()),
            _ => None,
        })
    }
}
