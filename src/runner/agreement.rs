//! Two people who agree on what is switched before it is, where looking afterwards would be too late.
//!
//! Concurrent dual verification: both say what is to be done and agree, then one acts while the other watches
//! (DOE-STD-1036-93, p. 18 and p. 35).

use super::batch::Batch;
use super::effect::Expects;
use super::machine::Runner;
use super::task::Task;
use crate::record::{Fact, Key, Matter, Meaning};

/// What two people have to agree on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct ConcurrentAct {
    /// The key of the act.
    key: Key,
    /// What is to be switched.
    what: String,
    /// Whether a source comes on by it.
    energises: bool,
    /// Who watches, once that is known.
    by: Option<String>,
}

impl ConcurrentAct {
    pub(super) fn on(key: Key, what: String, energises: bool) -> Self {
        Self { key, what, energises, by: None }
    }

    /// Tells whether a source comes on by what is agreed on.
    pub(super) fn energises(&self) -> bool {
        self.energises
    }
}

impl Runner {
    /// Asks who watches, then whether both agree.
    pub(super) fn ask_agreement(&mut self, act: ConcurrentAct) {
        self.progress.forget_agreement();
        let ConcurrentAct { key, what, by, .. } = &act;
        let question = match by {
            None => {
                let what = format!("Call a second person, who watches: {what}. Who is that?");
                self.question(key.about(Matter::Verifier), what, Expects::SecondPerson)
            }
            Some(by) => {
                let what = format!(
                    "NOT DONE YET. Say to each other what is to be done, where, and how it has to end up: {what}. \
                     Do {} and {by} agree?",
                    self.crew.person()
                );
                let question =
                    self.question(key.about(Matter::Agree), what, Expects::Word("agree"));
                self.signed(Meaning::Verified, Some(by), question)
            }
        };
        self.ask(Task::Agree(act), question);
    }

    pub(super) fn agreement_answered(&mut self, batch: &mut Batch, text: &str, act: ConcurrentAct) {
        let Some(by) = act.by else {
            if let Err(reason) = self.may_verify(batch, text, None) {
                return self.refuse(batch, text, reason);
            }
            self.progress.answered();
            let by = Some(self.full_name(text));
            return self.progress.first([Task::Agree(ConcurrentAct { by, ..act })]);
        };
        if self.word(batch, text, "agree") {
            self.progress.agree();
            let (key, what) = (act.key, self.scope.fill(&act.what));
            batch.facts.push(Fact::Agreed { key, what, person: self.crew.person().to_owned(), by });
        }
    }

    /// Tells whether a second person is named for what is going on: the one at the bench may not change before it is done.
    pub(super) fn is_two_person(&self) -> bool {
        let is_manned = self.progress.task().is_some_and(|task| match task {
            Task::Agree(act) => act.by.is_some(),
            Task::Verify(verification) => verification.is_manned(),
            _ => false,
        });
        self.progress.is_agreed() || is_manned
    }
}
