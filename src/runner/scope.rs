//! The values a formula can see during a run.

use std::collections::BTreeMap;

use crate::procedure::fill;
use crate::quantity::{Estimate, Quantity};
use crate::record::Ceiling;

/// Facts, worked-out values and readings by their names.
#[derive(Clone, Debug, Default)]
pub(super) struct Scope {
    facts: BTreeMap<String, Estimate>,
    parts: BTreeMap<String, Vec<String>>,
    readings: BTreeMap<String, BTreeMap<String, Estimate>>,
    /// The ceiling of the stage at hand, for texts.
    pub(super) ceiling: Option<Ceiling>,
}

impl Scope {
    pub(super) fn give(&mut self, name: &str, value: Estimate) {
        self.facts.insert(name.to_owned(), value);
    }

    pub(super) fn give_parts(&mut self, name: &str, parts: Vec<String>) {
        self.parts.insert(name.to_owned(), parts);
    }

    /// Keeps a reading of a step; `part` is empty for a step without `for_each`.
    pub(super) fn read(&mut self, step: &str, part: &str, value: Estimate) {
        self.readings.entry(step.to_owned()).or_default().insert(part.to_owned(), value);
    }

    /// Forgets what is no longer a number.
    pub(super) fn unread(&mut self, step: &str, part: &str) {
        if let Some(parts) = self.readings.get_mut(step) {
            parts.remove(part);
        }
    }

    pub(super) fn forget_readings(&mut self) {
        self.readings.clear();
    }

    pub(super) fn has_fact(&self, name: &str) -> bool {
        self.facts.contains_key(name) || self.parts.contains_key(name)
    }

    /// The values of a name: one, or several for a reading taken on several parts.
    pub(super) fn values(&self, name: &str) -> Option<Vec<Quantity>> {
        Some(self.estimates(name)?.into_iter().map(|estimate| estimate.value).collect())
    }

    /// The values of a name with their uncertainty.
    pub(super) fn estimates(&self, name: &str) -> Option<Vec<Estimate>> {
        if let Some(fact) = self.facts.get(name) {
            return Some(vec![fact.clone()]);
        }
        if let Some(parts) = self.readings.get(name) {
            return Some(parts.values().cloned().collect());
        }
        let (step, part) = name.split_once('.')?;
        Some(vec![self.readings.get(step)?.get(part)?.clone()])
    }

    /// Puts values in the place of their names in braces: `set it to {low_rail}`.
    pub(super) fn fill(&self, text: &str) -> String {
        let one = |name: &str| match self.shown(name).as_deref() {
            Some([value]) => Some(*value),
            _ => None,
        };
        fill(text, &one)
    }

    /// The values of a name in a text: what formulas see, and the ceiling of the stage at hand.
    fn shown(&self, name: &str) -> Option<Vec<Quantity>> {
        match (name, &self.ceiling) {
            ("ceiling.voltage", Some(ceiling)) => Some(vec![ceiling.voltage]),
            ("ceiling.current", Some(ceiling)) => Some(vec![ceiling.current]),
            _ => self.values(name),
        }
    }

    /// The part names of a `for_each`: a named list, or the names themselves.
    pub(super) fn each<'a>(&'a self, names: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
        names
            .flat_map(|name| match self.parts.get(name) {
                Some(parts) => parts.iter().map(String::as_str).collect(),
                None => vec![name],
            })
            .collect()
    }
}
