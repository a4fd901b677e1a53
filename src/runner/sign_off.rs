//! Signatures: which answers want one, and the one under the whole record before it is closed.
//!
//! Whether a signature holds is looked at before an answer gets here; the runner sees to it that none is left out, and that
//! it says what it should.

use super::batch::Batch;
use super::effect::{Expects, Question};
use super::machine::Runner;
use super::progress::Current;
use super::task::Task;
use crate::procedure::identity;
use crate::record::{Event, Fact, Key, Meaning, Moment, Origin, Outcome, Refusal, Signature};

impl Runner {
    /// Has an answer to this question signed with this meaning, where the run has signers: by the person that the answer
    /// names, or by this one.
    pub(super) fn signed(
        &self,
        meaning: Meaning,
        by: Option<&str>,
        question: Question,
    ) -> Question {
        let sign = self.signs.then_some(meaning);
        Question { sign, signer: by.map(str::to_owned), ..question }
    }

    /// Tells whether an event would be refused if it came now with these signatures: nobody has to sign what is refused.
    #[must_use]
    pub fn refuses(&self, at: Moment, event: &Event) -> bool {
        let mut trial = self.clone();
        let mut batch = Batch::new(at);
        trial.react(&mut batch, event);
        batch.is_refusal()
    }

    /// Tells whether an event would stop the run if it came now: that waits for no signature.
    #[must_use]
    pub fn stops(&self, at: Moment, event: &Event) -> bool {
        let mut trial = self.clone();
        let mut batch = Batch::new(at);
        trial.react(&mut batch, event);
        is_stop(&batch)
    }

    /// Takes an answer with its signature. What is refused for itself is refused for that, signed or not; and what stops the
    /// run stops it at once.
    pub(super) fn entered_signed(
        &mut self,
        batch: &mut Batch,
        text: &str,
        origin: Origin,
        signature: Option<&Signature>,
    ) {
        if let Some(reason) = self.unsigned(text, signature) {
            let mut trial = Batch::new(batch.at);
            self.clone().entered(&mut trial, text, origin);
            if !trial.is_refusal() && !is_stop(&trial) {
                return self.refuse(batch, text, reason);
            }
        }
        self.entered(batch, text, origin);
    }

    /// Tells what is wrong with the signature of an answer to the question at hand; nothing where none is wanted.
    fn unsigned(&self, text: &str, signature: Option<&Signature>) -> Option<Refusal> {
        let question = &self.progress.current()?.question;
        let meaning = question.sign?;
        // A person who gives an alias signs as who they are.
        let name = self.full_name(question.signer.as_deref().unwrap_or(text));
        is_missing(&[(meaning, &name)], signature)
    }

    /// Tells what is wrong with the signatures of a hand-over; nothing where none are wanted.
    pub(super) fn unsigned_hand_over(&self, to: &str, signatures: &[Signature]) -> Option<Refusal> {
        let to = self.full_name(to);
        let wanted = [(Meaning::HandedOver, self.crew.person()), (Meaning::TookOver, to.as_str())];
        if self.signs { is_missing(&wanted, signatures) } else { None }
    }

    /// Has the record signed by the person at the bench, then ends the run: with the equipment proved
    /// dead at that moment, however long the signing takes.
    pub(super) fn sign_off(&mut self, outcome: Outcome, resumable: bool) {
        if !self.signs {
            return self.progress.first([Task::Close { outcome, resumable }]);
        }
        let task = Task::SignOff { outcome, resumable };
        if !self.power.is_proved_dead() {
            let safe = self.make_safe();
            return self.progress.first(safe.into_iter().chain([task]));
        }
        let by = self.crew.person().to_owned();
        let what =
            format!("{by}, sign the record: what stands in it was done and seen as it says.");
        let question = self.question(Key::sign_off(), what, Expects::Word("sign"));
        let question = self.signed(Meaning::Performed, Some(&by), question);
        self.ask(task, question);
    }

    /// Puts the question for the signature under the record to the person who has just taken over.
    pub(super) fn ask_sign_off_again(&mut self) {
        let is_it = |current: &Current| matches!(current.task, Task::SignOff { .. });
        if let Some(Current { task, .. }) = self.progress.take_if(is_it) {
            self.progress.first([task]);
        }
    }

    /// Takes the signature under the record.
    pub(super) fn signed_off(
        &mut self,
        batch: &mut Batch,
        text: &str,
        outcome: Outcome,
        resumable: bool,
    ) {
        if self.word(batch, text, "sign") {
            let is_safe = self.power.is_proved_dead();
            let close = Task::Close { outcome, resumable };
            self.progress.first([if is_safe {
                close
            } else {
                Task::SignOff { outcome, resumable }
            }]);
        }
    }
}

fn is_stop(batch: &Batch) -> bool {
    batch.facts.iter().any(|fact| matches!(fact, Fact::Stopped { .. }))
}

/// Tells which of the wanted signatures is missing or says something else.
fn is_missing<'a>(
    wanted: &[(Meaning, &str)],
    signatures: impl IntoIterator<Item = &'a Signature>,
) -> Option<Refusal> {
    let mut signatures = signatures.into_iter();
    wanted.iter().find_map(|(meaning, name)| {
        let is_right =
            |signature: &Signature| signature.meaning == *meaning && is_of(signature, name);
        let is_there = signatures.next().is_some_and(is_right);
        (!is_there).then(|| Refusal::Unsigned { name: name.trim().to_owned(), meaning: *meaning })
    })
}

/// Tells whether a signature is this person's, who may be given by the name or by the identity.
fn is_of(signature: &Signature, name: &str) -> bool {
    let wanted = identity(name);
    [&signature.name, &signature.principal].iter().any(|known| identity(known) == wanted)
}
