//! The run folded from its entries.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use serde::Serialize;

use super::{
    AmendedLine, Amendment, ClockBehind, DatedBack, Energy, Entry, Event, Fact, Key, Matter,
    Meaning, Opening, Outcome, Signature, TimeOrder, Trace, VoidedRecord, Voiding,
};
use crate::quantity::Quantity;
use crate::window::Verdict;

/// A run as its entries tell it.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Run {
    /// What it started from.
    pub opening: Opening,
    /// When it started.
    pub opened_at: DateTime<FixedOffset>,
    /// What happened, in order.
    pub items: Vec<CourseItem>,
    /// What is known of the energy in the equipment.
    pub energy: Energy,
    /// How it ended, if it has.
    pub closing: Option<Closing>,
    /// Where each question stands, by its key.
    #[serde(skip)]
    pub standing: BTreeMap<Key, Standing>,
    /// How many lines its record has.
    pub lines: usize,
    /// The lines that are dated before the one above them.
    pub dated_back: Vec<DatedBack>,
    /// The lines at which it was begun or taken up with a clock behind what was known of the time.
    pub clock_behind: Vec<ClockBehind>,
    #[serde(skip)]
    order: TimeOrder,
    /// What was corrected or completed afterwards, in order.
    pub amendments: Vec<Amendment>,
    /// Who declared it void and why, if somebody did.
    pub voided: Option<Voiding>,
}

/// One thing that happened.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct CourseItem {
    /// The number of its line in the record.
    pub line: usize,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Who was at the bench.
    pub by: String,
    /// What.
    pub what: Happening,
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Happening {
    /// The runner concluded something.
    Fact(Box<Fact>),
    /// The person wrote something down.
    Noted(String),
    /// A file was put beside the record.
    Attached {
        /// The file's own name.
        name: String,
        /// SHA-256 of its bytes.
        sha256: String,
        /// Its size in bytes.
        bytes: u64,
    },
    /// Instruments sampled points while a question stood or time passed.
    Sampled {
        /// The question's key.
        key: Key,
        /// What they sampled.
        traces: Vec<Trace>,
    },
    /// In a practice the person read the circuit, besides what was asked.
    Probed {
        /// The point as it was named; none for what the question itself reads.
        point: Option<String>,
        /// What was read there; none where there was nothing to read.
        value: Option<Quantity>,
    },
    /// Somebody signed the line.
    Signed(Box<Signature>),
    /// The run was taken up again.
    Resumed,
}

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Closing {
    /// How.
    pub outcome: Outcome,
    /// Whether the equipment was confirmed safe.
    pub safe: bool,
    /// Whether the run may be taken up again.
    pub resumable: bool,
}

/// Where a question stands now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Done, inside its window, or acceptable.
    Good,
    /// Outside its window or undecided, or not acceptable.
    Bad,
    /// Not done, as the connected supply does what it is for.
    LeftOut,
}

impl CourseItem {
    /// The conclusion that it is, if it is one.
    #[must_use]
    pub fn fact(&self) -> Option<&Fact> {
        match &self.what {
            Happening::Fact(fact) => Some(fact),
            _ => None,
        }
    }
}

impl Run {
    /// The dates of its lines.
    #[must_use]
    pub fn order(&self) -> &TimeOrder {
        &self.order
    }

    /// Begins with a record's first entry; `None` if that is not the start of a run.
    #[must_use]
    pub fn begin(first: &Entry) -> Option<Self> {
        let Event::Started(opening) = &first.event else { return None };
        let mut run = Self {
            opening: (**opening).clone(),
            opened_at: first.at.wall,
            items: Vec::new(),
            energy: Energy::Unknown,
            closing: None,
            standing: BTreeMap::new(),
            lines: 0,
            dated_back: Vec::new(),
            clock_behind: Vec::new(),
            order: TimeOrder::of_record(),
            amendments: Vec::new(),
            voided: None,
        };
        run.add(first);
        Some(run)
    }

    /// Folds a whole record; `None` if it does not begin with the start of a run.
    #[must_use]
    pub fn fold(entries: &[Entry]) -> Option<Self> {
        let (first, rest) = entries.split_first()?;
        let mut run = Self::begin(first)?;
        for entry in rest {
            run.add(entry);
        }
        Some(run)
    }

    /// Adds the next entry.
    pub fn add(&mut self, entry: &Entry) {
        self.lines += 1;
        let begins = entry.event.begins_its_time();
        self.dated_back.extend(self.order.pass_moment(entry.at, begins));
        self.clock_behind.extend(ClockBehind::at(self.lines, entry));
        let happening = match &entry.event {
            Event::Noted { text } => Some(Happening::Noted(text.clone())),
            Event::Attached { name, sha256, bytes, .. } => Some(Happening::Attached {
                name: name.clone(),
                sha256: sha256.clone(),
                bytes: *bytes,
            }),
            Event::Sampled { key, traces } => {
                Some(Happening::Sampled { key: key.clone(), traces: traces.clone() })
            }
            Event::Probed { point, value, .. } => {
                Some(Happening::Probed { point: point.clone(), value: *value })
            }
            Event::Resumed { .. } => {
                self.closing = None;
                Some(Happening::Resumed)
            }
            // These are told by the facts that were drawn from them.
            Event::Started(_)
            | Event::Entered { .. }
            | Event::Measured { .. }
            | Event::Present { .. }
            | Event::Unattended { .. }
            | Event::FoundOn(_)
            | Event::OffUnconfirmed { .. }
            | Event::OffConfirmed { .. }
            | Event::Acknowledged { .. }
            | Event::Declined { .. }
            | Event::Ticked
            | Event::HandedOver { .. }
            | Event::Halted { .. }
            | Event::InstrumentLost { .. }
            | Event::Tripped { .. }
            | Event::RecordFailed { .. }
            | Event::ClockUpset { .. }
            | Event::Interrupted { .. }
            | Event::Abandoned { .. }
            | Event::Diagnosed(_)
            | Event::Amended { .. }
            | Event::Voided { .. } => None,
        };
        let facts = entry.facts.iter().cloned().map(|fact| Happening::Fact(Box::new(fact)));
        self.push(entry, happening.into_iter().chain(facts));
        if self.opening.signers.is_some() {
            let signed = entry.event.signatures().cloned();
            let signed = signed.map(|signature| Happening::Signed(Box::new(signature)));
            self.push(entry, signed);
        }
        for fact in &entry.facts {
            self.conclude(fact);
            self.conclude_afterwards(fact, entry);
        }
    }

    fn push(&mut self, entry: &Entry, what: impl IntoIterator<Item = Happening>) {
        let (line, at) = (self.lines, entry.at.wall);
        let items =
            what.into_iter().map(|what| CourseItem { line, at, by: entry.by.clone(), what });
        self.items.extend(items);
    }

    /// What is wrong with its times, in sentences without their points.
    pub fn time_remarks(&self) -> impl Iterator<Item = String> {
        let back = self
            .dated_back
            .iter()
            .map(|dated_back| format!("The order of time: {}", dated_back.words()));
        back.chain(
            self.clock_behind
                .iter()
                .map(|clock_behind| format!("The clock: {}", clock_behind.words())),
        )
    }

    /// Tells whether a run whose people sign was closed without the signature under its record.
    #[must_use]
    pub fn is_closed_unsigned(&self) -> bool {
        self.opening.signers.is_some() && self.closing.is_some() && !self.is_signed_off()
    }

    /// Tells whether the signature under the record came with its end.
    #[must_use]
    pub fn is_signed_off(&self) -> bool {
        let last = |is: fn(&Happening) -> bool| {
            self.items.iter().rev().find(|item| is(&item.what)).map(|item| item.line)
        };
        let closed = last(
            |what| matches!(what, Happening::Fact(fact) if matches!(**fact, Fact::Closed { .. })),
        );
        let signed = last(
            |what| matches!(what, Happening::Signed(signature) if signature.meaning == Meaning::Performed),
        );
        self.closing.is_some() && closed == signed
    }

    /// Tells whether a line was corrected or completed afterwards.
    #[must_use]
    pub fn is_amended(&self, line: usize) -> bool {
        self.amendments.iter().any(|amendment| amendment.line == line)
    }

    /// What somebody says of the record later changes nothing of the run itself.
    fn conclude_afterwards(&mut self, fact: &Fact, entry: &Entry) {
        let (by, at) = (entry.by.clone(), entry.at.wall);
        match fact {
            Fact::Amended(AmendedLine { line, text }) => {
                self.amendments.push(Amendment { line: *line, text: text.clone(), by, at });
            }
            Fact::Voided(VoidedRecord { why, with }) => {
                let by = with.as_ref().map_or(by.clone(), |with| format!("{by} with {with}"));
                self.voided = Some(Voiding { why: why.clone(), by, at });
            }
            _ => {}
        }
    }

    fn conclude(&mut self, fact: &Fact) {
        match fact {
            Fact::Energy { state } => self.energy = state.clone(),
            Fact::Closed { outcome, safe, resumable, .. } => {
                let (outcome, safe, resumable) = (*outcome, *safe, *resumable);
                self.closing = Some(Closing { outcome, safe, resumable });
            }
            Fact::Repaired { .. } => self.standing.clear(),
            Fact::Stale { steps, .. } | Fact::Expired { steps, .. } => {
                self.standing.retain(|key, _| !steps.iter().any(|step| key.behind(step).is_some()));
            }
            Fact::Judged { key, verdict, .. } => {
                self.stands(key.clone(), verdict.is_inside() || *verdict == Verdict::NotJudged);
            }
            Fact::Seen { key, good, .. } => self.stands(key.clone(), *good),
            Fact::LeftOut(key) => {
                self.standing.insert(key.clone(), Standing::LeftOut);
            }
            Fact::Conceded { key, .. }
            | Fact::Done { key, .. }
            | Fact::Written { key, .. }
            | Fact::Released { key, .. }
            | Fact::Witnessed { key, .. }
            | Fact::WorksAlone { key, .. }
            | Fact::Waited { key, .. } => self.stands(key.clone(), true),
            // A reading stands beside its verification, which is bad as long as it is due: neither makes the other good.
            Fact::VerificationDue { key } => self.stands(key.about(Matter::Verified), false),
            Fact::Verified { key, agreed, .. } => {
                self.stands(key.about(Matter::Verified), *agreed);
            }
            Fact::Given { .. }
            | Fact::WorkedOut { .. }
            | Fact::StageOpened { .. }
            | Fact::StageHeld { .. }
            | Fact::NoticeAnswered { .. }
            | Fact::Watched { .. }
            | Fact::Present { .. }
            | Fact::ClockSet { .. }
            | Fact::NotConfirmedOff { .. }
            | Fact::ConfirmedOff { .. }
            | Fact::CalibrationOverdue { .. }
            | Fact::Fitted { .. }
            | Fact::Removed { .. }
            | Fact::Cleared { .. }
            | Fact::Supervised { .. }
            | Fact::NotApproved(_)
            | Fact::Refused { .. }
            | Fact::MeterRejected { .. }
            | Fact::StillCharged { .. }
            | Fact::ProvedDead(_)
            | Fact::ProofStands(_)
            | Fact::Stopped { .. }
            | Fact::Again { .. }
            | Fact::WentBack { .. }
            | Fact::Reentered { .. }
            | Fact::TookOver { .. }
            | Fact::Practised(_)
            | Fact::Amended(_)
            | Fact::Voided(_)
            | Fact::VerifierNamed { .. }
            | Fact::Agreed { .. } => {}
        }
    }

    fn stands(&mut self, key: Key, good: bool) {
        self.standing.insert(key, if good { Standing::Good } else { Standing::Bad });
    }

    /// Everything that was concluded, in order.
    pub fn facts(&self) -> impl DoubleEndedIterator<Item = &Fact> {
        self.items.iter().filter_map(CourseItem::fact)
    }

    /// What happened at the bench, without what was added to the record afterwards.
    pub fn at_bench(&self) -> impl Iterator<Item = &CourseItem> {
        let is_added = |item: &&CourseItem| match &item.what {
            Happening::Fact(fact) => {
                matches!(**fact, Fact::Amended(_) | Fact::Voided(_))
            }
            _ => false,
        };
        self.items.iter().filter(move |item| !is_added(item))
    }

    /// Where a step stands: bad as soon as one of its questions is, good when some are and none is bad.
    #[must_use]
    pub fn step(&self, step: &str) -> Option<Standing> {
        let standings = self.standing.iter().filter(|(key, _)| key.behind(step).is_some());
        standings.map(|(_, standing)| *standing).max_by_key(|s| *s == Standing::Bad)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Dimension, Reading, Unit};
    use crate::record::{Mode, Origin};
    use crate::window::{Bounds, Side};

    #[test]
    fn what_is_stale_stands_no_longer_until_it_is_taken_again() {
        let waited = |key: &Key| Fact::Waited { key: key.to_owned(), ms: 1 };
        let mut run = begun();
        for key in ["warm.1", "warm.wait-2", "warmer"] {
            run.conclude(&waited(&key.into()));
        }
        run.conclude(&Fact::Stale { steps: vec!["warm".to_owned()], because: "bias".to_owned() });
        assert_eq!((run.step("warm"), run.step("warmer")), (None, Some(Standing::Good)));
        run.conclude(&waited(&"warm.1".into()));
        assert_eq!(run.step("warm"), Some(Standing::Good));
    }

    fn begun() -> Run {
        let opening = Opening::of_a_test(Mode::Scripted, "Kim Bench-Test");
        Run::begin(&Entry {
            at: crate::record::Moment { wall: DateTime::UNIX_EPOCH.fixed_offset(), elapsed_ms: 0 },
            by: "Kim Bench-Test".to_owned(),
            event: Event::Started(Box::new(opening)),
            facts: Vec::new(),
        })
        .expect("the start of a run")
    }

    #[test]
    fn a_reading_stands_bad_until_a_second_person_has_confirmed_it() {
        let mut run = begun();
        let key = || Key::step("idle", "");
        run.conclude(&Fact::Done { key: key(), what: String::new() });
        run.conclude(&Fact::VerificationDue { key: key() });
        assert_eq!(run.step("idle"), Some(Standing::Bad));
        for (agreed, standing) in [(false, Standing::Bad), (true, Standing::Good)] {
            run.conclude(&Fact::Verified {
                key: key(),
                what: String::new(),
                taken_by: String::new(),
                by: String::new(),
                first: Reading::OverRange,
                second: Reading::OverRange,
                unit: Unit::base(Dimension::CURRENT),
                difference: None,
                within: None,
                agreed,
            });
            assert_eq!(run.step("idle"), Some(standing), "{agreed}");
        }
    }

    #[test]
    fn only_what_is_inside_or_not_judged_stands_good() {
        for (verdict, expected) in [
            (Verdict::Inside, Standing::Good),
            (Verdict::NotJudged, Standing::Good),
            (Verdict::Undecided, Standing::Bad),
            (Verdict::Outside(Side::Above), Standing::Bad),
        ] {
            let judged = Fact::Judged {
                key: "idle".into(),
                what: "Idle current".to_owned(),
                attempt: 1,
                text: "OL".to_owned(),
                reading: Reading::OverRange,
                unit: Unit::base(Dimension::CURRENT),
                origin: Origin::Typed,
                bounds: Box::new(Bounds::record_only()),
                basis: None,
                verdict,
                decision: Box::default(),
            };
            let mut run = begun();
            run.conclude(&judged);
            assert_eq!(run.step("idle"), Some(expected), "{verdict:?}");
        }
    }
}
