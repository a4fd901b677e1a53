//! A reading that a second person takes again without knowing the first.
//!
//! Independent verification is apart in time and in distance: the one who verifies finds out for himself (DOE-STD-1036-93,
//! p. 18; DOE-EM-STD-5505-96, 6.10). So the first value is in no question until the second is in.

use super::answer::Target;
use super::batch::Batch;
use super::effect::{Cause, Expects, StopView, Turn};
use super::judge::Judging;
use super::machine::Runner;
use super::task::Task;
use super::undecided::Undecided;
use crate::procedure::act::Act;
use crate::quantity::Reading;
use crate::record::{
    Fact, Matter, Meaning, Origin, Part, PersonRefusal, Refusal, StopReason, Unworkable,
};
use crate::window::{Closeness, Within};

/// A first reading that waits for the second.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Verification {
    /// What was read.
    target: Target,
    first: Reading,
    /// The first reading as a person reads it: shown once the second is in.
    shown: String,
    taken_by: String,
    within: Within,
    /// The question about the first reading, if it was too close to its limit.
    undecided: Option<Box<Undecided>>,
    /// Who verifies, once that is known.
    by: Option<String>,
}

impl Verification {
    /// The part of the procedure that it belongs to.
    pub(super) fn target(&self) -> &Target {
        &self.target
    }

    /// Tells whether the second person is named.
    pub(super) fn is_manned(&self) -> bool {
        self.by.is_some()
    }
}

impl Runner {
    /// Tells whose turn a reading is, where two people take it.
    pub(super) fn turn(&self, target: &Target) -> Option<Turn> {
        let step = self.step_at(target.at)?;
        let is_reading = matches!(target.act, Act::Read { .. });
        (is_reading && step.is_read_twice()).then_some(Turn::First)
    }

    /// Lays out the second reading behind a first one that did not stop the run.
    pub(super) fn verify(
        &mut self,
        batch: &mut Batch,
        judging: &Judging,
        target: Target,
        undecided: Option<Box<Undecided>>,
    ) {
        let Some(step) = self.step_at(target.at) else { return };
        let within = match step.agreement(&|name: &str| self.scope.values(name)) {
            Ok(Some(within)) => within,
            // The checks refuse such a procedure; a run of one ends here instead of guessing.
            Ok(None) => {
                let missing = Unworkable::NoAgreement;
                return self.could_not_work_out(batch, target.key.as_str(), missing);
            }
            Err(error) => return self.could_not_work_out(batch, target.key.as_str(), error),
        };
        batch.facts.push(Fact::VerificationDue { key: target.key.clone() });
        let (first, shown) = (judging.reading, judging.shown(None));
        let taken_by = self.crew.person().to_owned();
        let verification =
            Verification { target, first, shown, taken_by, within, undecided, by: None };
        self.progress.first([Task::Verify(Box::new(verification))]);
    }

    /// Asks who takes the second reading, then for the reading.
    pub(super) fn ask_verification(&mut self, verification: Box<Verification>) {
        let Target { key, what, act, .. } = &verification.target;
        let question = match (&verification.by, act) {
            (None, _) => {
                let what =
                    format!("Call a second person, who reads it again: {what}. Who is that?");
                let question =
                    self.question(key.about(Matter::Verifier), what, Expects::SecondPerson);
                // What an instrument sends carries no signature: there, who is called signs for that.
                if self.is_sent(&verification.target) {
                    self.signed(Meaning::Called, None, question)
                } else {
                    question
                }
            }
            (Some(by), Act::Read { unit, bounds, way, .. }) => {
                let (bounds, way) = (Box::new(*bounds), self.by(way.as_ref()));
                let expects = Expects::Value { unit: unit.clone(), bounds, by: way };
                let what = format!("{by} reads it again: {what}");
                let question = self.question(key.about(Matter::Second), what, expects);
                self.signed(Meaning::Verified, Some(by), question)
            }
            _ => return,
        };
        let question = super::effect::Question { turn: Some(Turn::Second), ..question };
        self.ask(Task::Verify(verification), question);
    }

    /// Tells whether a connected instrument takes the reading.
    fn is_sent(&self, target: &Target) -> bool {
        matches!(&target.act, Act::Read { way, .. } if self.by(way.as_ref()).is_some())
    }

    pub(super) fn verification_answered(
        &mut self,
        batch: &mut Batch,
        text: &str,
        origin: Origin,
        verification: Verification,
    ) {
        if verification.by.is_some() {
            return self.second_reading(batch, text, origin, verification);
        }
        if let Err(reason) = self.may_verify(batch, text, Some(&verification.taken_by)) {
            return self.refuse(batch, text, reason);
        }
        self.progress.answered();
        let by = self.full_name(text);
        let (key, sent) = (verification.target.key.clone(), self.is_sent(&verification.target));
        batch.facts.push(Fact::VerifierNamed { key, by: by.clone(), sent });
        let by = Some(by);
        self.progress.first([Task::Verify(Box::new(Verification { by, ..verification }))]);
    }

    /// Tells whether a text names someone other than the person at the bench, and than who took the first reading.
    pub(super) fn may_verify(
        &self,
        batch: &Batch,
        text: &str,
        taken_by: Option<&str>,
    ) -> Result<(), Refusal> {
        self.is_name(text)?;
        let name = self.full_name(text);
        if self.is_same(&name, self.crew.person()) {
            return Err(PersonRefusal::OwnSecond.into());
        }
        if taken_by.is_some_and(|taken_by| self.is_same(&name, taken_by)) {
            return Err(PersonRefusal::KnowsTheReading.into());
        }
        self.admits(text, self.today(batch.at))?;
        self.is_apart(Part::Verify, &name)
    }

    /// Judges the second reading by the same window, then sets it against the first.
    fn second_reading(
        &mut self,
        batch: &mut Batch,
        text: &str,
        origin: Origin,
        verification: Verification,
    ) {
        let Target { key, part, at, what, act } = verification.target.clone();
        let target = Target { key: key.about(Matter::Second), part, at, what, act };
        let Some(judging) = self.judging(batch, text, origin, &target) else { return };
        let agreement =
            match Closeness::of(&verification.first, &judging.reading, verification.within) {
                Ok(agreement) => agreement,
                Err(error) => return self.could_not_work_out(batch, key.as_str(), error.into()),
            };
        self.progress.answered();
        let (estimate, meter) = self.measured_with(&judging, &target.act);
        let (verdict, decision) =
            self.decide(batch, &judging, estimate.as_ref(), meter, &target.act);
        batch.facts.push(verification.verified(&judging, &agreement));
        if self.is_found_live(at, &decision.judged(&judging.reading)) {
            return self.found_live(batch, at, judging);
        }
        if verdict.is_outside() {
            return self.outside(batch, judging, &decision, at);
        }
        if !agreement.agreed {
            let view = verification.disagreement(&judging, &agreement);
            return self.stop_at(batch, key, StopReason::Disagreement, view);
        }
        // Both are in: what was too close to its limit may be looked at now. Taken again, it is taken by both again.
        let retake = verification.target.task();
        let second = self.undecided(verdict, &judging, &decision, at, Some(retake));
        let questions = verification.undecided.into_iter().chain(second).map(Task::Undecided);
        self.progress.first(questions.collect::<Vec<_>>());
    }
}

impl Verification {
    fn verified(&self, second: &Judging, agreement: &Closeness) -> Fact {
        Fact::Verified {
            key: self.target.key.clone(),
            what: self.target.what.clone(),
            taken_by: self.taken_by.clone(),
            by: self.by.clone().unwrap_or_default(),
            first: self.first,
            second: second.reading,
            unit: second.unit.clone(),
            difference: agreement.difference,
            within: agreement.within,
            agreed: agreement.agreed,
        }
    }

    fn disagreement(&self, second: &Judging, agreement: &Closeness) -> StopView {
        let by = self.by.as_deref().unwrap_or_default();
        let within = agreement.within.map(|within| within.engineering(4, None));
        let within = within.map(|within| format!(", at most {within} apart")).unwrap_or_default();
        let what = format!(
            "{}: {} read {}, {by} read {}{within}",
            self.target.what,
            self.taken_by,
            self.shown,
            second.shown(None)
        );
        // Common practice, no source.
        let cause = Cause {
            likely: "the two did not measure the same thing: point, part, range or state"
                .to_owned(),
            next: "each shows the other where and how it was read; then both read it again"
                .to_owned(),
        };
        StopView { what, causes: vec![cause] }
    }
}
