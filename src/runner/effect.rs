//! What the runner wants done.

use crate::procedure::act::{Choice, Guard, Way};
use crate::quantity::Unit;
use crate::record::{Ceiling, Energy, Entry, Key, Meaning, Outcome, Signal, Source, Unapproved};
use crate::window::Bounds;

/// Something to be done outside. A batch is carried out in order; if one fails the rest is dropped, outputs off
/// excepted.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Every output that can be switched goes off, now.
    OutputsOff,
    /// An entry goes to the disk, written and synced.
    Record(Box<Entry>),
    /// A hazard notice is shown.
    Warn(Box<Notice>),
    /// General advice is shown.
    Advise(Advice),
    /// The source may come up. Whatever follows happens on live equipment.
    Energise(Setting),
    /// A question is put; its answer comes back as an event with the same key.
    Ask(Box<Question>),
    /// Time has to pass; ticks come back as events.
    Wait {
        /// The question that the wait stands for; its `what` says what for.
        question: Box<Question>,
        /// From when until when.
        span: WaitSpan,
    },
    /// The run is over.
    Finish(Outcome),
}

/// A wait on the clock of [`crate::record::Moment::elapsed_ms`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WaitSpan {
    /// When it began (ms).
    pub from_ms: u64,
    /// When it ends (ms).
    pub until_ms: u64,
}

/// What a source is allowed to deliver.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// The source.
    pub source: Source,
    /// The most it may deliver.
    pub ceiling: Option<Ceiling>,
    /// The outputs of connected instruments that feed it, by their names in the bench file; none where a person
    /// switches.
    pub outputs: Vec<String>,
}

/// How a person has to confirm being there while time passes or a question stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Presence {
    /// How often (ms).
    pub every_ms: u64,
    /// How long after being asked (ms).
    pub grace_ms: u64,
}

/// General advice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Advice {
    /// Before the first mains stage.
    FirstMains,
    /// After the word that nobody is in reach.
    Alone,
    /// The people file is not the one that was approved, at the start of the run or as it is taken up.
    NotApproved(Box<Unapproved>, WhichSitting),
    /// These have to stay inside while the source is on, each with its limits, and no connected instrument watches them.
    Unwatched(Vec<String>),
}

impl Advice {
    /// The advice in words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::FirstMains => {
                "Mains voltage comes next. Follow your local codes, work within your licence and competence, and have \
                 someone in reach who knows how to cut the power. This program advises; you decide."
                    .to_owned()
            }
            Self::Alone => {
                "YOU WORK ALONE: nobody can cut the power or call for help if something goes wrong. It stands in the record. Stop here \
                 if somebody can be had, if you are tired or in a hurry, or if your local codes want a second person. This program \
                 advises; you decide."
                    .to_owned()
            }
            Self::NotApproved(how, sitting) => {
                format!("{}. {}", how.words(), sitting.what_to_do(how.people.is_some()))
            }
            Self::Unwatched(points) => format!(
                "NOT WATCHED on this bench: {}. No connected instrument reads that: keep an eye on it, and switch off if it leaves \
                 its limits.",
                points.join("; ")
            ),
        }
    }
}

/// Whether a sitting is the first of its run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhichSitting {
    /// It is.
    First,
    /// The run is taken up again.
    Later,
}

impl WhichSitting {
    /// What to do where the people file is not the one that was approved.
    fn what_to_do(self, has_people: bool) -> &'static str {
        match (self, has_people) {
            (Self::First, true) => {
                "Look at what was changed. If it is right: wattstep people FILE --approve --by NAME. If not: stop, and begin \
                 with the approved file."
            }
            (Self::First, false) => "To have people checked: stop, and begin with --people FILE.",
            (Self::Later, _) => {
                "The run goes on with what it began with. If that is not right: stop, and begin a new run with the approved \
                 file."
            }
        }
    }
}

/// A hazard notice, ready to be composed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// Its key.
    pub key: Key,
    /// The signal word.
    pub signal: Signal,
    /// What the hazard is.
    pub risk: String,
    /// What happens to a person who does not avoid it.
    pub result: String,
    /// How to avoid it.
    pub avoid: String,
}

/// Where in the procedure the run is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Place {
    /// The stage's title.
    pub stage: String,
    /// The stage's number, from 1; 0 before the first.
    pub stage_number: usize,
    /// How many stages there are.
    pub stages: usize,
    /// The step's number in its stage, from 1; 0 before the first.
    pub step_number: usize,
    /// How many steps the stage has.
    pub steps: usize,
    /// What the stage's source will deliver, while it is not on yet.
    pub coming: Option<String>,
}

/// A likely cause of a stop and what to check next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cause {
    /// The likely cause.
    pub likely: String,
    /// What to check next.
    pub next: String,
}

/// A stop, as the screen shows it until it is dealt with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StopView {
    /// What happened, in one line.
    pub what: String,
    /// Likely causes, most likely first.
    pub causes: Vec<Cause>,
}

/// A question to the person at the bench.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// Its key: the answer carries it back.
    pub key: Key,
    /// Where in the procedure.
    pub place: Place,
    /// What is known of the energy in the equipment.
    pub energy: Energy,
    /// The charge points that the proof of dead which stands left out, as they are behind a closed cover.
    pub unmeasured: Vec<String>,
    /// Who is at the bench.
    pub person: String,
    /// What is asked.
    pub what: String,
    /// What sort of answer is taken.
    pub expects: Expects,
    /// Why it is asked.
    pub why: Option<String>,
    /// What its limits are based on.
    pub basis: Option<String>,
    /// The stop that is being dealt with.
    pub stop: Option<StopView>,
    /// What connected instruments sample while it stands.
    pub guards: Vec<Guard>,
    /// How a person has to confirm being there while it stands, where that is due.
    pub presence: Option<Presence>,
    /// Which outputs are on, or not confirmed to be off, although they were ordered off.
    pub alarm: Option<String>,
    /// What the answer has to be signed as; none where it needs no signature.
    pub sign: Option<Meaning>,
    /// Who has to sign; none for the person that the answer names.
    pub signer: Option<String>,
    /// Whose turn it is, where two people take one reading and the second must not know the first.
    pub turn: Option<Turn>,
    /// The questions that may be answered on one line, this one first; empty where they come one by one.
    pub list: Vec<ListRow>,
}

/// One question of a list that may be answered on one line.
#[derive(Clone, Debug, PartialEq)]
pub struct ListRow {
    /// Its key.
    pub key: Key,
    /// What it is about: the part of a reading, or what is to be done or looked at.
    pub what: String,
    /// The stated answers of a look.
    pub choices: Vec<Choice>,
}

#[cfg(test)]
impl Question {
    /// A question in a test, about nothing in particular.
    pub(crate) fn of_a_test(key: &Key, expects: Expects) -> Self {
        Self {
            key: key.to_owned(),
            place: Place::default(),
            energy: Energy::ProvedDead,
            unmeasured: Vec::new(),
            person: String::new(),
            what: String::new(),
            expects,
            why: None,
            basis: None,
            stop: None,
            guards: Vec::new(),
            presence: None,
            alarm: None,
            sign: None,
            signer: None,
            turn: None,
            list: Vec::new(),
        }
    }
}

/// Whose turn it is at a reading that two people take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// The first one's: the answer may not stay in sight.
    First,
    /// The second one's: the first answer may not be in sight.
    Second,
}

/// What sort of answer is taken.
#[derive(Clone, Debug, PartialEq)]
pub enum Expects {
    /// The value seen.
    Value {
        /// The unit an answer without one is in.
        unit: Unit,
        /// The window.
        bounds: Box<Bounds>,
        /// How a connected instrument can take it.
        by: Option<Box<Way>>,
    },
    /// One of the stated answers.
    Choice(Vec<Choice>),
    /// That it was done, or read.
    Done,
    /// This word, typed out.
    Word(&'static str),
    /// The answer to a question about the hazard just shown.
    Confirm,
    /// The name of a second person in this role.
    Name {
        /// The role.
        role: String,
    },
    /// The name of the person who takes over the bench; it comes back as a hand-over.
    TakesOver,
    /// The name of a second person who verifies, never the one at the bench.
    SecondPerson,
    /// Whether a person in this role attended or waived it, and the name.
    Witness {
        /// The role.
        role: String,
        /// Whether it takes somebody who stays in reach: nobody waives that, and `alone` is an answer of its own.
        in_reach: bool,
    },
    /// A fact about the equipment.
    Fact,
    /// Free words.
    Text,
    /// A file.
    File,
}
