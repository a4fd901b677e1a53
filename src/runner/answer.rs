//! Answers: taken, judged, or refused with the reason.

use super::batch::Batch;
use super::effect::{Cause, Expects, Question, StopView};
use super::era::Era;
use super::machine::Runner;
use super::step_at::StepAt;
use super::task::{AfterStop, Task};
use crate::procedure::Confirm;
use crate::procedure::act::{Act, Choice};
use crate::quantity::{Decimal, Reading};
use crate::record::{Fact, Key, Origin, Reason, Refusal, Signal, Signature, StopReason};
use crate::window::{Bounds, Verdict, Within};

impl Runner {
    /// Takes a typed, scripted or measured answer to the question at hand.
    pub(super) fn entered(&mut self, batch: &mut Batch, text: &str, origin: Origin) {
        let Some(current) = self.progress.current().cloned() else { return };
        match current.task {
            Task::Fact(name) => match self.give(batch, &name, text) {
                Ok(()) => self.progress.answered(),
                Err(reason) => self.refuse(batch, text, reason),
            },
            Task::Notice { stage, step } => self.notice_answered(batch, text, stage, step),
            Task::Clear => self.cleared(batch, text),
            Task::Off { .. } => self.switched_off(batch, text, current.question),
            Task::SignOff { outcome, resumable } => {
                self.signed_off(batch, text, outcome, resumable);
            }
            Task::WaitOver { .. } => drop(self.word(batch, text, "done")),
            Task::StillDead => self.still_dead_answered(batch, text),
            Task::Prove(part) => self.proof_answer(batch, text, origin, part),
            Task::Undecided(undecided) => self.undecided_answered(batch, text, *undecided),
            Task::Allow(duty) => self.allowance_answered(batch, text, duty),
            Task::Concede(concession) => self.concession_answered(batch, text, concession),
            Task::Verify(verification) => {
                self.verification_answered(batch, text, origin, *verification)
            }
            Task::Agree(agreement) => self.agreement_answered(batch, text, agreement),
            Task::Sight => self.sight_answered(batch, text),
            Task::WhatNext => self.next_chosen(batch, text),
            Task::WhatNextWhy(next) => self.next_explained(batch, text, next),
            Task::Act { key, part, at, act } => {
                let what = current.question.what;
                self.act_answered(batch, text, origin, Target { key, part, at, what, act });
            }
            _ => {}
        }
    }

    /// Takes an instrument's answer: a value that it can read, and nothing that a person has to say or to see. So a proof
    /// of dead on real equipment is never an instrument's word.
    pub(super) fn measured(&mut self, batch: &mut Batch, text: &str) {
        let expects = self.progress.question().map(|question| &question.expects);
        if matches!(expects, Some(Expects::Value { by: Some(_), .. })) {
            // No person is there to sign it.
            self.entered(batch, text, self.instrument_origin());
        } else {
            self.refuse(batch, text, Refusal::ForAPerson);
        }
    }

    /// Takes "done" or "read". A notice with a question, and any DANGER notice, wants more.
    pub(super) fn acknowledged(&mut self, batch: &mut Batch, origin: Origin) {
        let done = match self.progress.task() {
            Some(Task::Notice { stage, step }) if self.is_passed_by_reading(*stage, *step) => {
                "read"
            }
            Some(Task::Act { act: Act::Do { .. }, .. } | Task::WaitOver { .. }) => "done",
            _ => "",
        };
        self.entered_signed(batch, done, origin, None);
    }

    fn is_passed_by_reading(&self, stage: usize, step: Option<usize>) -> bool {
        self.hazard(stage, step).is_some_and(|(_, hazard)| {
            hazard.confirm.is_none() && hazard.due_signal() < Signal::Danger
        })
    }

    /// Takes the word that something cannot or will not be done.
    pub(super) fn declined(&mut self, batch: &mut Batch, reason: &Reason) {
        let Some(current) = self.progress.current() else { return };
        let is_safety = matches!(
            current.task,
            Task::Off { .. }
                | Task::StillDead
                | Task::Prove(_)
                | Task::Sight
                | Task::WhatNext
                | Task::WhatNextWhy(_)
        );
        if matches!(current.task, Task::SignOff { .. }) {
            // Left unsigned, with the reason.
            self.stop(batch, StopReason::Halted { reason: reason.clone() });
        } else if is_safety {
            self.refuse(batch, &reason.to_string(), Refusal::MakingSafe);
        } else {
            self.stop(batch, StopReason::Declined { reason: reason.clone() });
        }
    }

    /// Takes the word that a file was put beside the record for the step that asked for one.
    pub(super) fn attached(&mut self, batch: &mut Batch, name: &str) {
        let Some(current) = self.progress.current() else { return };
        if !matches!(current.task, Task::Act { act: Act::Attach { .. }, .. }) {
            return self.refuse(batch, name, Refusal::NotAFile);
        }
        let key = current.question.key.clone();
        self.progress.answered();
        batch.facts.push(Fact::Done { key, what: format!("attached {name}") });
    }

    pub(super) fn hand_over(
        &mut self,
        batch: &mut Batch,
        to: &str,
        remarks: &str,
        signatures: &[Signature],
    ) {
        if let Err(reason) = self.is_name(to) {
            return self.refuse(batch, to, reason);
        }
        if self.is_two_person() {
            return self.refuse(batch, to, Refusal::TwoPeopleAtIt);
        }
        if self.power.is_live() && remarks.trim().is_empty() {
            return self.refuse(batch, to, Refusal::LiveWithoutRemarks);
        }
        if let Err(reason) = self.may_come(to, self.today(batch.at)) {
            return self.refuse(batch, to, reason);
        }
        if let Some(reason) = self.unsigned_hand_over(to, signatures) {
            return self.refuse(batch, to, reason);
        }
        let to = self.full_name(to);
        let from = self.crew.come(to.clone());
        self.authority.forget_present();
        self.ask_sign_off_again();
        batch.facts.push(Fact::TookOver { from, to });
    }

    /// Takes this one word and nothing else.
    pub(super) fn word(&mut self, batch: &mut Batch, text: &str, word: &str) -> bool {
        let taken = text.trim().eq_ignore_ascii_case(word);
        if taken {
            self.progress.answered();
        } else {
            self.refuse(batch, text, Refusal::NotTheWord { word: word.to_owned() });
        }
        taken
    }

    fn cleared(&mut self, batch: &mut Batch, text: &str) {
        if self.word(batch, text, "clear") {
            batch.facts.push(Fact::Cleared { fitted: self.fitted_names() });
        }
    }

    fn switched_off(&mut self, batch: &mut Batch, text: &str, question: Question) {
        if self.word(batch, text, "off") {
            // The word is for what no instrument controls; what one does control is off with it.
            batch.outputs_off = true;
            batch.facts.push(Fact::Done { key: question.key, what: question.what });
            self.power.unplugged();
            self.source_is_off(batch);
        }
    }

    fn notice_answered(
        &mut self,
        batch: &mut Batch,
        text: &str,
        stage: usize,
        step: Option<usize>,
    ) {
        let Some((_, hazard)) = self.hazard(stage, step) else { return };
        let signal = hazard.due_signal();
        let right = match &hazard.confirm {
            Some(confirm) => self.is_confirmed(confirm, text),
            None => text.trim().eq_ignore_ascii_case("read"),
        };
        if !right {
            return self.refuse(batch, text, Refusal::NotTheAnswer);
        }
        let Some(current) = self.progress.take() else { return };
        batch.facts.push(Fact::NoticeAnswered { key: current.question.key, signal });
    }

    fn is_confirmed(&self, confirm: &Confirm, text: &str) -> bool {
        if let Some(word) = &confirm.word {
            return !text.trim().is_empty() && text.trim().eq_ignore_ascii_case(word.trim());
        }
        let values = |name: &str| self.scope.values(name);
        let wanted = confirm.voltage.as_ref().and_then(|voltage| voltage.evaluate(&values).ok());
        let (Some(wanted), Ok(given)) = (wanted, Reading::parse(text, &Self::volt())) else {
            return false;
        };
        let near = Bounds::near(wanted, Within::Percent(Decimal::new(10, 0)));
        near.is_ok_and(|near| near.judge(&given) == Verdict::Inside)
    }

    fn act_answered(&mut self, batch: &mut Batch, text: &str, origin: Origin, target: Target) {
        let Target { key, what, act, .. } = target.clone();
        match act {
            Act::Do { .. } => {
                if self.word(batch, text, "done") {
                    batch.facts.push(Fact::Done { key, what });
                    self.moved(batch, target.at);
                }
            }
            Act::Look { choices, .. } => self.looked(batch, text, origin, target, &choices),
            Act::Read { .. } if self.is_set_by_hand_in_vain(origin) => {
                self.refuse(batch, text, Refusal::ForTheSupply);
            }
            Act::Read { .. } => self.reading(batch, text, origin, target),
            Act::Hold { role, .. } => self.released(batch, text, key, role),
            Act::Witness { role, in_reach, .. } => {
                self.witnessed(batch, text, key, &role, in_reach);
            }
            Act::Note { .. } => {
                if text.trim().is_empty() {
                    return self.refuse(batch, text, Refusal::Blank);
                }
                self.progress.answered();
                batch.facts.push(Fact::Written { key, what, text: text.to_owned() });
            }
            _ => self.refuse(batch, text, Refusal::NotHere),
        }
    }

    fn looked(
        &mut self,
        batch: &mut Batch,
        text: &str,
        origin: Origin,
        Target { key, what, .. }: Target,
        choices: &[Choice],
    ) {
        let chosen = choices.iter().find(|choice| choice.say.eq_ignore_ascii_case(text.trim()));
        let Some(chosen) = chosen else {
            return self.refuse(batch, text, Refusal::NotAChoice);
        };
        self.progress.answered();
        batch.facts.push(Fact::Seen {
            key: key.clone(),
            what: what.clone(),
            attempt: self.results.attempt(&key),
            text: chosen.say.clone(),
            origin,
            good: chosen.good,
        });
        if chosen.good {
            return;
        }
        let cause = chosen.likely.clone().zip(chosen.next.clone());
        let causes = cause.map(|(likely, next)| Cause { likely, next }).into_iter().collect();
        let view = StopView { what: format!("{what}: {}", chosen.say), causes };
        self.stop_at(batch, key, StopReason::Seen, view);
    }

    fn next_chosen(&mut self, batch: &mut Batch, text: &str) {
        let choices = self.next_choices();
        let word = text.trim().to_lowercase();
        if !choices.iter().any(|choice| choice.say == word) {
            return self.refuse(batch, text, Refusal::NotAChoice);
        }
        self.progress.answered();
        match word.as_str() {
            "again" => self.progress.first([Task::WhatNextWhy(AfterStop::Again)]),
            "repaired" => self.progress.first([Task::WhatNextWhy(AfterStop::Repaired)]),
            word => {
                let close =
                    Task::SignOff { outcome: self.stopping.ending(), resumable: word == "later" };
                // The proof may have run out while the question stood.
                let safe = if self.power.is_proved_dead() { Vec::new() } else { self.make_safe() };
                self.progress.first(safe.into_iter().chain([close]));
            }
        }
    }

    fn next_explained(&mut self, batch: &mut Batch, text: &str, next: AfterStop) {
        if text.trim().is_empty() {
            return self.refuse(batch, text, Refusal::NoReason);
        }
        self.progress.answered();
        self.decided(batch, next, text);
    }

    pub(super) fn refuse(&mut self, batch: &mut Batch, text: &str, reason: impl Into<Refusal>) {
        let key = self.progress.question().map(|question| question.key.clone()).unwrap_or_default();
        batch.facts.push(Fact::Refused { key, text: text.to_owned(), reason: reason.into() });
        if let Some(Task::Notice { stage, step }) = self.progress.task().cloned() {
            // The notice is shown again with its question.
            self.progress.answered();
            self.progress.first([Task::Notice { stage, step }]);
        }
    }

    /// Ends a wait whose time has come.
    pub(super) fn waited(&mut self, batch: &mut Batch) {
        let Some(current) = self.progress.take() else { return };
        let ms =
            current.wait.map(|wait| wait.until_ms.saturating_sub(wait.from_ms)).unwrap_or_default();
        batch.facts.push(Fact::Waited { key: current.question.key, ms });
        if let Task::Sample { key, part, at, watching } = current.task {
            return self.watched(batch, key, part, at, &watching, &current.traces);
        }
        if let Task::Act { key, at, act: Act::Wait { what, .. }, .. } = current.task {
            // Nothing moves on by itself while the equipment is live.
            if self.power.is_live() && !self.is_read_next(at) {
                self.progress.first([Task::WaitOver { key, what }]);
            }
        }
    }

    /// Whether a reading of the same step follows: nobody passes that without looking, so the end of the wait before it takes no word.
    fn is_read_next(&self, here: StepAt) -> bool {
        let next = self.progress.tasks().next();
        let reads =
            matches!(next, Some(Task::Act { at, act: Act::Read { .. }, .. }) if *at == here);
        self.era >= Era::ProofsStand && reads
    }
}

/// What an answer to an act is about.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Target {
    pub(super) key: Key,
    pub(super) part: String,
    pub(super) at: StepAt,
    /// What was asked, as it stood on the screen: with its part, and values in the place of their names.
    pub(super) what: String,
    /// The act itself.
    pub(super) act: Act,
}

impl Target {
    /// The task that carries its act out.
    pub(super) fn task(&self) -> Task {
        let Self { key, part, at, act, .. } = self.clone();
        Task::Act { key, part, at, act }
    }
}
