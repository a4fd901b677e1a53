//! What a second person accepts as it is: an undecided reading, an instrument whose calibration has run out.

use super::batch::Batch;
use super::effect::Expects;
use super::machine::Runner;
use super::task::Task;
use crate::procedure::{Overdue, OverduePolicy};
use crate::record::{Fact, Key, Matter, Meaning, Part, Refusal};

/// Something that a second person may accept, and who did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Concession {
    /// What the questions' keys begin with.
    key: Key,
    /// What there is to accept, as the question about it begins.
    what: String,
    /// Who accepts it, once that is known.
    by: Option<String>,
}

impl Concession {
    /// Of a reading too close to its limit, by its question's key.
    pub(super) fn of_reading(key: Key) -> Self {
        Self { key, what: "Who accepts the undecided reading?".to_owned(), by: None }
    }

    fn of_calibration(Overdue { instrument, due }: &Overdue) -> Self {
        let what =
            format!("The calibration of {instrument} ran out after {due}. Who accepts its use?");
        Self { key: Key::calibration(instrument), what, by: None }
    }
}

impl Runner {
    /// Notes whose calibration has run out on the day of the start. Each has to be accepted before the first stage, unless
    /// the bench file says that a warning is enough.
    pub(super) fn note_overdue(&mut self, batch: &mut Batch) {
        let Some(bench) = self.bench.clone() else { return };
        for overdue in bench.overdue_on(self.today(batch.at)) {
            let (instrument, due) = (overdue.instrument.clone(), overdue.due.to_string());
            batch.facts.push(Fact::CalibrationOverdue { instrument, due });
            if bench.overdue != OverduePolicy::Warn {
                self.unaccepted.push(Concession::of_calibration(&overdue));
            }
        }
    }

    /// Asks who accepts it, then why.
    pub(super) fn ask_concession(&mut self, concession: Concession) {
        let (matter, what, expects) = match &concession.by {
            None => {
                let role = "person who may accept it".to_owned();
                (Matter::AcceptedBy, concession.what.as_str(), Expects::Name { role })
            }
            Some(_) => (Matter::AcceptedWhy, "Why is it accepted?", Expects::Text),
        };
        let question = self.question(concession.key.about(matter), what, expects);
        let question = match &concession.by {
            Some(by) => self.signed(Meaning::Accepted, Some(by), question),
            None => question,
        };
        self.ask(Task::Concede(concession), question);
    }

    pub(super) fn concession_answered(
        &mut self,
        batch: &mut Batch,
        text: &str,
        concession: Concession,
    ) {
        let Some(by) = concession.by else {
            let second = self.second_person(text);
            if let Err(reason) = second
                .and_then(|()| self.may_concede(batch, text))
                .and_then(|()| self.is_apart(Part::Concede, &self.full_name(text)))
            {
                return self.refuse(batch, text, reason);
            }
            self.progress.answered();
            let by = Some(self.full_name(text));
            return self.progress.first([Task::Concede(Concession { by, ..concession })]);
        };
        if text.trim().is_empty() {
            return self.refuse(batch, text, Refusal::NoReason);
        }
        self.progress.answered();
        self.unaccepted.retain(|open| open.key != concession.key);
        batch.facts.push(Fact::Conceded { key: concession.key, by, why: text.trim().to_owned() });
    }
}
