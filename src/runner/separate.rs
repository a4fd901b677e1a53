//! Who had which part in a run, and which of them the shop keeps apart.

use super::machine::{Batch, Runner};
use crate::record::Part;

impl Runner {
    /// Notes who took which part by what was just concluded.
    pub(super) fn note_parts(&mut self, batch: &Batch) {
        let parts = batch.facts.iter().filter_map(Part::of);
        self.parts.extend(parts.map(|(part, by)| (part, by.to_owned())));
    }

    /// Tells whether somebody may take a part, as far as the parts that they had in this run go.
    pub(super) fn is_apart(&self, part: Part, name: &str) -> Result<(), String> {
        let Some(people) = self.people_file() else { return Ok(()) };
        let had = self
            .parts
            .iter()
            .find(|(had, by)| people.separates(part, *had) && self.is_same(by, name));
        had.map_or(Ok(()), |(had, _)| {
            let words = had.words();
            Err(format!(
                "{name} {words} in this run, and this shop keeps that apart: name another person"
            ))
        })
    }
}
