//! Who had which part in a run, and which of them the shop keeps apart.

use super::batch::Batch;
use super::machine::Runner;
use crate::procedure::Day;
use crate::record::{Fact, Part, PersonRefusal, Refusal};

impl Runner {
    /// Notes who took which part by what was just concluded.
    pub(super) fn note_parts(&mut self, batch: &Batch) {
        let parts = batch.facts.iter().filter_map(Fact::part);
        parts.for_each(|(part, by)| self.crew.took(part, by));
    }

    /// Tells whether somebody may take a part, as far as what they did in this run before goes.
    pub(super) fn is_apart(&self, part: Part, name: &str) -> Result<(), Refusal> {
        let Some(people) = self.people_file() else { return Ok(()) };
        let had = self.had(name, |had| people.separates(part, had));
        let was_here = || self.crew.worked().any(|worker| self.is_same(worker, name));
        let worked = || (people.keeps_apart(part) && was_here()).then_some(None);
        had.map(Some).or_else(worked).map_or(Ok(()), |had| Err(kept_apart(name, had)))
    }

    /// Tells whether somebody may come to this bench on a day.
    ///
    /// # Errors
    /// Why not: they may not work here then, or had a part in this run that the shop keeps apart from that.
    pub fn may_come(&self, name: &str, day: Day) -> Result<(), Refusal> {
        self.admits(name, day)?;
        let Some(people) = self.people_file() else { return Ok(()) };
        let name = self.full_name(name);
        let had = self.had(&name, |had| people.keeps_apart(had));
        had.map_or(Ok(()), |part| Err(kept_apart(&name, Some(part))))
    }

    /// A part that somebody had in this run, of those that are meant.
    fn had(&self, name: &str, is_meant: impl Fn(Part) -> bool) -> Option<Part> {
        let is_theirs = |(had, by): &&(Part, String)| is_meant(*had) && self.is_same(by, name);
        self.crew.parts().find(is_theirs).map(|(had, _)| *had)
    }
}

fn kept_apart(name: &str, had: Option<Part>) -> Refusal {
    PersonRefusal::KeptApart { name: name.to_owned(), had }.into()
}
