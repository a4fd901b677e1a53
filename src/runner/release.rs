//! Hold points and witness points: what a second person lets pass or watches.

use super::machine::{Batch, Runner};
use crate::procedure::{identity, person_name};
use crate::record::{Fact, WitnessOutcome};

impl Runner {
    /// Tells whether a text names a person who has not worked at this bench in this run.
    pub(super) fn second_person(&self, text: &str) -> Result<(), String> {
        person_name(text)?;
        if self.people.contains(&identity(&self.full_name(text))) {
            return Err("nobody who has worked at this bench in this run releases or accepts here"
                .to_owned());
        }
        Ok(())
    }

    pub(super) fn released(&mut self, batch: &mut Batch, text: &str, key: String, role: String) {
        let second = self.second_person(text);
        if let Err(reason) = second.and_then(|()| self.may_release(batch, text, &role)) {
            return self.refuse(batch, text, &reason);
        }
        self.current = None;
        batch.facts.push(Fact::Released { key, by: self.full_name(text), role });
    }

    pub(super) fn witnessed(&mut self, batch: &mut Batch, text: &str, key: String) {
        let (word, name) = text.trim().split_once(char::is_whitespace).unwrap_or((text.trim(), ""));
        let outcome = match word.to_lowercase().as_str() {
            "attended" => WitnessOutcome::Attended,
            "waived" => WitnessOutcome::Waived,
            _ => return self.refuse(batch, text, "type `attended NAME` or `waived NAME`"),
        };
        if let Err(reason) = person_name(name) {
            return self.refuse(batch, text, &reason);
        }
        if identity(&self.full_name(name)) == identity(&self.person) {
            return self.refuse(batch, text, "the person at the bench is not their own witness");
        }
        self.current = None;
        batch.facts.push(Fact::Witnessed { key, by: self.full_name(name), outcome });
    }
}
