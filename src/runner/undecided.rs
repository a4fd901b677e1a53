//! A reading too close to its limit for the meter: taken again with a better one, accepted by a second person, or a stop.

use super::batch::Batch;
use super::concession::Concession;
use super::effect::{Expects, StopView};
use super::machine::Runner;
use super::task::Task;
use crate::procedure::act::Choice;
use crate::record::{Key, Matter, Refusal, StopReason};

/// A reading that is neither inside nor outside, and what can be done about it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Undecided {
    /// The question's key.
    pub(super) key: Key,
    /// The task that takes it again; none for a value that was worked out.
    pub(super) retake: Option<Task>,
    /// The stop, if it comes to that.
    pub(super) view: StopView,
}

impl Runner {
    /// Asks what to do about a reading that is too close to call.
    pub(super) fn ask_undecided(&mut self, undecided: Box<Undecided>) {
        let what = format!("{}. What next?", undecided.view.what);
        let choices = self.undecided_choices(&undecided);
        let key = undecided.key.about(Matter::Undecided);
        let question = self.question(key, what, Expects::Choice(choices));
        self.ask(Task::Undecided(undecided), question);
    }

    fn undecided_choices(&self, undecided: &Undecided) -> Vec<Choice> {
        let may = undecided.retake.is_some() && self.stopping.may_try_again(&undecided.key);
        let again = may.then(|| {
            Choice::explained("again", "take it on a better range or with a better meter")
        });
        let others = [
            Choice::explained("accept", "a second person accepts it as it is; it stays in sight"),
            Choice::explained("stop", "treat it as outside: stop and make safe"),
        ];
        again.into_iter().chain(others).collect()
    }

    pub(super) fn undecided_answered(
        &mut self,
        batch: &mut Batch,
        text: &str,
        undecided: Undecided,
    ) {
        let word = text.trim().to_lowercase();
        if !self.undecided_choices(&undecided).iter().any(|choice| choice.say == word) {
            return self.refuse(batch, text, Refusal::NotAChoice);
        }
        self.progress.answered();
        match word.as_str() {
            "again" => {
                self.stopping.failed(&undecided.key);
                // Where two people read it, both do so again: the other reading is no longer in question.
                let retake = undecided.retake;
                self.progress
                    .retain(|task| !matches!(task, Task::Undecided(undecided) if undecided.retake == retake));
                self.progress.first(retake);
            }
            "accept" => self.progress.first([Task::Concede(Concession::of_reading(undecided.key))]),
            _ => self.stop_at(batch, undecided.key, StopReason::Undecided, undecided.view),
        }
    }
}
