//! Hold points and witness points: what a second person lets pass or watches.

use super::batch::Batch;
use super::effect::{Advice, Effect};
use super::machine::Runner;
use crate::procedure::{identity, is_alike, person_name, written_name};
use crate::record::{Fact, Key, Part, PersonRefusal, Refusal, WitnessOutcome};

impl Runner {
    /// Tells whether a text can be a person's name.
    pub(super) fn is_name(&self, text: &str) -> Result<(), Refusal> {
        let taken = if self.era.is_former() { written_name(text) } else { person_name(text) };
        taken.map_err(Refusal::from)
    }

    /// Tells whether two names are one person's: whether they look alike.
    pub(super) fn is_same(&self, one: &str, other: &str) -> bool {
        if self.era.is_former() { identity(one) == identity(other) } else { is_alike(one, other) }
    }

    /// Tells whether a text names a person who has not worked at this bench in this run.
    pub(super) fn second_person(&self, text: &str) -> Result<(), Refusal> {
        self.is_name(text)?;
        let name = self.full_name(text);
        if self.crew.worked().any(|worker| self.is_same(worker, &name)) {
            return Err(PersonRefusal::WorkedHere.into());
        }
        Ok(())
    }

    pub(super) fn released(&mut self, batch: &mut Batch, text: &str, key: Key, role: String) {
        let by = self.full_name(text);
        if let Err(reason) = self
            .second_person(text)
            .and_then(|()| self.is_who(text, &role))
            .and_then(|()| self.may_release(batch, text, &role))
            .and_then(|()| self.is_apart(Part::Release, &by))
        {
            return self.refuse(batch, text, reason);
        }
        self.progress.answered();
        batch.facts.push(Fact::Released { key, by, role });
    }

    /// Takes who watches, or waives it. Where somebody has to stay in reach, that is not waived: working alone is an answer of its own.
    pub(super) fn witnessed(
        &mut self,
        batch: &mut Batch,
        text: &str,
        key: Key,
        role: &str,
        in_reach: bool,
    ) {
        let (word, name) = text.trim().split_once(char::is_whitespace).unwrap_or((text.trim(), ""));
        let outcome = match (word.to_lowercase().as_str(), in_reach) {
            ("alone", true) if name.is_empty() => return self.works_alone(batch, text, key),
            ("attended", _) => WitnessOutcome::Attended,
            ("waived", false) => WitnessOutcome::Waived,
            (_, false) => return self.refuse(batch, text, Refusal::AttendedOrWaived),
            (_, true) => return self.refuse(batch, text, Refusal::NotWaived),
        };
        if let Err(reason) = self.may_witness(name, outcome).and_then(|()| self.is_who(name, role))
        {
            return self.refuse(batch, text, reason);
        }
        self.progress.answered();
        batch.facts.push(Fact::Witnessed { key, by: self.full_name(name), outcome });
    }

    /// Tells whether a text says who somebody is, and not only the role that is called for. On a staff names are known.
    fn is_who(&self, text: &str, role: &str) -> Result<(), Refusal> {
        let is_role = self.people_file().is_none() && !self.era.is_former() && is_alike(text, role);
        if is_role { Err(Refusal::RoleForName { role: role.to_owned() }) } else { Ok(()) }
    }

    fn may_witness(&self, name: &str, outcome: WitnessOutcome) -> Result<(), Refusal> {
        self.is_name(name)?;
        let full = self.full_name(name);
        if self.is_same(&full, self.crew.person()) {
            return Err(PersonRefusal::OwnWitness.into());
        }
        if !self.era.is_former() && !self.is_on_staff(name) {
            let name = name.trim().to_owned();
            return Err(PersonRefusal::NotOnStaff { name }.into());
        }
        match outcome {
            WitnessOutcome::Attended => self.is_apart(Part::Witness, &full),
            WitnessOutcome::Waived => Ok(()),
        }
    }

    fn works_alone(&mut self, batch: &mut Batch, text: &str, key: Key) {
        if !self.may_work_alone() {
            return self.refuse(batch, text, Refusal::NotAlone);
        }
        self.progress.answered();
        batch.facts.push(Fact::WorksAlone { key, by: self.crew.person().to_owned() });
        batch.effects.push(Effect::Advise(Advice::Alone));
    }
}
