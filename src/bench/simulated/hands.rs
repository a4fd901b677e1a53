//! A person's hands at the simulated bench: where the probes are, and how the controls stand.

use std::collections::BTreeMap;

use crate::procedure::Procedure;
use crate::quantity::Quantity;
use crate::record::{Key, Source};

/// What a step asks of the hands at the mains.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum MainsTurn {
    /// The source of this stage is switched on.
    On(Source),
    /// Everything is switched off.
    Off,
}

/// How a control stands, and since when (s).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stand {
    pub(super) value: Quantity,
    pub(super) moved_s: f64,
}

/// A person's hands.
#[derive(Debug)]
pub(super) struct Hands {
    turns: BTreeMap<Key, MainsTurn>,
    at: Option<Key>,
    /// How often each question was come to.
    visits: BTreeMap<Key, u32>,
    pub(super) controls: BTreeMap<String, Stand>,
}

impl Hands {
    /// Hands that know which steps of a procedure switch its sources.
    pub(super) fn new(procedure: &Procedure, controls: BTreeMap<String, Stand>) -> Self {
        let turns = procedure.steps().filter_map(|(stage, step)| {
            let set = step.set.as_ref()?;
            let turn =
                if set.is_off() { MainsTurn::Off } else { MainsTurn::On(stage.source.value) };
            Some((Key::step(&step.step, ""), turn))
        });
        // The question that the runner puts wherever a run is made safe.
        let safe = (Key::switch_off(), MainsTurn::Off);
        let turns = turns.chain([safe]).collect();
        Self { turns, at: None, visits: BTreeMap::new(), controls }
    }

    /// Goes to a question, and tells what it asks at the sources.
    pub(super) fn go_to(&mut self, key: &Key) -> Option<MainsTurn> {
        if self.at.as_ref() != Some(key) {
            *self.visits.entry(key.clone()).or_default() += 1;
            self.at = Some(key.clone());
        }
        super::model::longest(key, |key| self.turns.get(key)).copied()
    }

    /// The question the probes are at.
    pub(super) fn at(&self) -> Option<&Key> {
        self.at.as_ref()
    }

    /// Whether a question was come to more than once.
    pub(super) fn is_again(&self, key: &Key) -> bool {
        self.visits.get(key).is_some_and(|visits| *visits > 1)
    }

    /// Moves a control; one that stands there already was not moved.
    pub(super) fn put(&mut self, control: &str, value: Quantity, now_s: f64) {
        if let Some(stand) = self.controls.get_mut(control)
            && stand.value != value
        {
            *stand = Stand { value, moved_s: now_s };
        }
    }
}
