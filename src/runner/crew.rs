//! Who is and was at the bench, and who took which part beside it.
//!
//! Always true: the person at the bench is among those who were.

use std::collections::BTreeSet;

use crate::record::Part;

/// The people of a run, by their full names.
#[derive(Clone, Debug, Default)]
pub(super) struct Crew {
    /// The person at the bench; empty before the run begins.
    person: String,
    /// Everyone who has worked at the bench in this run.
    worked: BTreeSet<String>,
    /// Who took which part beside the bench.
    parts: BTreeSet<(Part, String)>,
    /// The person at the bench was told what to have at hand before the first mains.
    is_advised: bool,
}

impl Crew {
    /// Who is at the bench.
    pub(super) fn person(&self) -> &str {
        &self.person
    }

    /// Tells whether nobody was at the bench yet: the run has not begun.
    pub(super) fn is_empty(&self) -> bool {
        self.person.is_empty()
    }

    /// Somebody comes to the bench; gives back who was there before.
    pub(super) fn come(&mut self, name: String) -> String {
        self.worked.insert(name.clone());
        std::mem::replace(&mut self.person, name)
    }

    /// Everyone who has worked at the bench.
    pub(super) fn worked(&self) -> impl Iterator<Item = &String> {
        self.worked.iter()
    }

    pub(super) fn took(&mut self, part: Part, name: &str) {
        self.parts.insert((part, name.to_owned()));
    }

    pub(super) fn parts(&self) -> impl Iterator<Item = &(Part, String)> {
        self.parts.iter()
    }

    /// Advises the person before the first mains, and tells whether that is for the first time.
    pub(super) fn advise(&mut self) -> bool {
        !std::mem::replace(&mut self.is_advised, true)
    }

    /// The person who takes the run up has not been told.
    pub(super) fn forget_advice(&mut self) {
        self.is_advised = false;
    }
}
