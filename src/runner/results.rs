//! What was found so far, and what of it counts.
//!
//! Always true: a step whose result counts no longer is not among those that do.

use std::collections::{BTreeMap, BTreeSet};

use super::step_at::StepAt;
use crate::record::{Key, SampleSpan};

/// The results of the steps. Their values stand in the scope.
#[derive(Clone, Debug, Default)]
pub(super) struct Results {
    /// The steps with a verdict that counts.
    taken: BTreeSet<String>,
    /// The steps whose verdicts count no longer, until they are done again.
    stale: BTreeSet<StepAt>,
    attempts: BTreeMap<Key, u32>,
    /// Readings that looked like a slip of the prefix and must be given with their unit.
    unit_wanted: BTreeSet<Key>,
    /// Readings that gave a value which their kind can't have, and were asked for once more.
    doubted: BTreeSet<Key>,
    /// What the watch at hand has read by hand so far.
    by_hand: Vec<SampleSpan>,
}

impl Results {
    /// Counts an attempt at a reading of a step; its result counts from now on.
    pub(super) fn attempt(&mut self, key: &Key) -> u32 {
        self.taken.insert(key.owner().to_owned());
        let count = self.attempts.entry(key.clone()).or_default();
        *count += 1;
        *count
    }

    /// Lets a step's result go, and tells whether it counted.
    pub(super) fn forget(&mut self, step: &str) -> bool {
        self.taken.remove(step)
    }

    /// Lets a step's result go until it is taken again, and tells whether it counted.
    pub(super) fn make_stale(&mut self, step: &str, at: StepAt) -> bool {
        let counted = self.forget(step);
        if counted {
            self.stale.insert(at);
        }
        counted
    }

    /// The step is done, again or for the first time.
    pub(super) fn done(&mut self, at: StepAt) {
        self.stale.remove(&at);
    }

    /// The stage is opened again from its start, and all that come after it: each of their steps is taken again anyway.
    pub(super) fn begin_again_at(&mut self, stage: usize) {
        self.stale.retain(|step| step.stage < stage);
    }

    /// The steps before a place that have to be taken again.
    pub(super) fn stale_before(&self, to: StepAt) -> impl Iterator<Item = StepAt> {
        self.stale.range(..to).copied()
    }

    pub(super) fn has_stale(&self) -> bool {
        !self.stale.is_empty()
    }

    /// Something was repaired: nothing that was found counts any more.
    pub(super) fn forget_all(&mut self) {
        self.taken.clear();
        self.stale.clear();
    }

    /// Has a reading given with its unit from now on.
    pub(super) fn want_unit(&mut self, key: &Key) {
        self.unit_wanted.insert(key.clone());
    }

    pub(super) fn wants_unit(&self, key: &Key) -> bool {
        self.unit_wanted.contains(key)
    }

    /// Doubts a reading, and tells whether that is for the first time.
    pub(super) fn doubt(&mut self, key: &Key) -> bool {
        self.doubted.insert(key.clone())
    }

    /// A watch begins.
    pub(super) fn begin_watch(&mut self) {
        self.by_hand.clear();
    }

    pub(super) fn read_by_hand(&mut self, span: SampleSpan) {
        self.by_hand.push(span);
    }

    /// What the watch has read by hand, which it has no more after that.
    pub(super) fn end_watch(&mut self) -> Vec<SampleSpan> {
        std::mem::take(&mut self.by_hand)
    }
}
