//! What the register says of each run, and of the people.

use std::collections::BTreeMap;
use std::fs::{File, OpenOptions};
use std::path::Path;

use chrono::{DateTime, FixedOffset};

use super::{Change, FirstSeen, PeopleApproval, REGISTER, RecordEnd, Registration};
use crate::journal::damage::{Damage, DamageKind};
use crate::journal::disk::{is_there, open_regular};
use crate::journal::{Chain, JournalError, stream};
use crate::record::{Approval, DatedBack, Mode, Outcome, TimeOrder};

/// A whole register, by runs.
#[derive(Debug, Clone)]
pub struct Index {
    /// Its own chain.
    pub chain: Chain,
    /// The lines that are dated before the one above them.
    pub dated_back: Vec<DatedBack>,
    order: TimeOrder,
    runs: BTreeMap<String, Registered>,
    people: Option<PeopleApproval>,
}

/// One line, whatever it is about.
enum IndexLine {
    Run(Registration),
    People(PeopleApproval),
}

impl IndexLine {
    fn read(entry: &[u8]) -> Result<Self, serde_json::Error> {
        match serde_json::from_slice(entry) {
            Ok(registration) => Ok(Self::Run(registration)),
            Err(error) => serde_json::from_slice(entry).map(Self::People).map_err(|_| error),
        }
    }
}

/// What the register says of one run.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Registered {
    /// The hash of its first line, unless it was adopted.
    pub first: Option<String>,
    /// Where it ended each time, in order.
    pub ends: Vec<RecordEnd>,
    /// How it is carried out, as far as that is known.
    pub mode: Option<Mode>,
    /// How its last sitting ended, if that is known.
    pub outcome: Option<Outcome>,
    /// Whether lines may follow the last registered end: it is running, or the end of its last
    /// sitting never came to be registered.
    pub is_open: bool,
    /// Whether it was declared void.
    pub is_void: bool,
    /// Lines that nobody was writing when the register learned of them.
    pub seen: Vec<FirstSeen>,
    /// How many lines the register knows of.
    vouched: usize,
}

impl Registered {
    /// Notes where the record ends, and which lines before that nobody was writing any more.
    fn reaches(&mut self, registration: &Registration) {
        let Registration { at, what, .. } = registration;
        let Some(end) = what.end() else {
            self.vouched = 1;
            return;
        };
        let by = match what {
            Change::Adopted { by, .. } => Some(by.clone()),
            _ => None,
        };
        // The program has just written these itself.
        let until = match what {
            Change::Opened { .. } | Change::Ended { .. } => usize::MAX,
            Change::Amended { .. } | Change::Voided { .. } => 1,
            Change::TakenUp { .. } | Change::Settled { .. } | Change::Adopted { .. } => 0,
        };
        let (from, to) = (self.vouched + 1, end.lines.saturating_sub(until));
        if to >= from || by.is_some() {
            self.seen.push(FirstSeen { from, to, at: *at, by });
        }
        self.vouched = self.vouched.max(end.lines);
        self.ends.push(end.clone());
    }
}

impl Index {
    /// Reads the register of a folder, which may be open elsewhere; nothing when there is none.
    ///
    /// # Errors
    /// When it is damaged or cannot be read.
    pub fn read(folder: &Path) -> Result<Option<Self>, JournalError> {
        let path = folder.join(REGISTER);
        if !is_there(&path)? {
            return Ok(None);
        }
        let file = open_regular(OpenOptions::new().read(true), &path)?;
        Self::of(file, &path).map(Some)
    }

    pub(super) fn of(file: File, path: &Path) -> Result<Self, JournalError> {
        let (mut runs, mut people) = (BTreeMap::new(), None);
        let (mut order, mut dated_back) = (TimeOrder::of_register(), Vec::new());
        let mut wrong = None;
        let chain = stream::check(file, path, |line| match IndexLine::read(line.entry) {
            Ok(IndexLine::Run(registration)) => {
                dated_back.extend(order.pass(registration.at));
                note(&mut runs, registration);
            }
            Ok(IndexLine::People(approval)) => {
                dated_back.extend(order.pass(approval.at));
                people = Some(approval);
            }
            Err(error) if wrong.is_none() => {
                let kind = DamageKind::Entry(error.to_string());
                wrong = Some(Damage { line: line.n, kind });
            }
            Err(_) => {}
        })?;
        match wrong {
            Some(damage) => Err(JournalError::Damaged { path: path.to_owned(), damage }),
            None => Ok(Self { chain, dated_back, order, runs, people }),
        }
    }

    /// The dates of its lines.
    #[must_use]
    pub fn order(&self) -> &TimeOrder {
        &self.order
    }

    /// The newest date of its lines: the last one may have been written by a clock that was back.
    #[must_use]
    pub fn newest_at(&self) -> Option<DateTime<FixedOffset>> {
        self.order.newest()
    }

    /// What it says of a run.
    #[must_use]
    pub fn run(&self, run: &str) -> Option<&Registered> {
        self.runs.get(run)
    }

    /// Every run it knows, by name.
    pub fn runs(&self) -> impl Iterator<Item = (&str, &Registered)> {
        self.runs.iter().map(|(run, registered)| (run.as_str(), registered))
    }

    /// The people file that was approved last.
    #[must_use]
    pub fn people(&self) -> Option<&PeopleApproval> {
        self.people.as_ref()
    }

    /// What it says of people files.
    #[must_use]
    pub fn approval(&self) -> Approval {
        let approved = self.people.as_ref().map(PeopleApproval::approved);
        approved.map_or(Approval::Never, Approval::Last)
    }

    pub(super) fn approve(&mut self, approval: PeopleApproval) {
        self.dated_back.extend(self.order.pass(approval.at));
        self.people = Some(approval);
    }

    pub(super) fn add(&mut self, registration: Registration) {
        self.dated_back.extend(self.order.pass(registration.at));
        note(&mut self.runs, registration);
    }
}

fn note(runs: &mut BTreeMap<String, Registered>, registration: Registration) {
    let known = runs.entry(registration.run.clone()).or_default();
    known.reaches(&registration);
    let what = registration.what;
    known.is_open = match &what {
        Change::Opened { .. } | Change::TakenUp { .. } => true,
        // What was being written when it failed may have got onto the disk all the same.
        Change::Ended { outcome, .. } => *outcome == Outcome::CouldNotRecord,
        Change::Amended { .. }
        | Change::Voided { .. }
        | Change::Settled { .. }
        | Change::Adopted { .. } => false,
    };
    match what {
        Change::Opened { first, mode, .. } => {
            known.first = Some(first);
            known.mode = Some(mode);
        }
        Change::TakenUp { .. } => known.outcome = None,
        Change::Ended { outcome, .. } => known.outcome = Some(outcome),
        Change::Amended { .. } => {}
        Change::Voided { .. } => known.is_void = true,
        Change::Settled { outcome, .. } => known.outcome = outcome,
        Change::Adopted { mode, outcome, .. } => {
            known.mode = known.mode.or(mode);
            known.outcome = outcome;
        }
    }
}
