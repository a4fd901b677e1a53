//! Readings of one kind on many parts, which are one list to the person.

use super::answer::Target;
use super::machine::Runner;
use super::task::Task;
use crate::procedure::Step;
use crate::procedure::act::Act;
use crate::procedure::safety::charges;
use crate::record::Key;

impl Runner {
    /// The parts whose readings may be typed on one line with this one, this one first; none where that may not be.
    ///
    /// Only with the source off: with anything live, or where a test charges what it measures, a reading is judged before the next one
    /// is taken. What a second person takes again, and what an instrument reads, comes one by one too.
    pub(super) fn list(&self, target: &Target) -> Vec<String> {
        if !self.is_listed(target) {
            return Vec::new();
        }
        let of_this_step = |task: &Task| match task {
            Task::Act { key, part, at, act: Act::Read { .. } } if *at == target.at => {
                (*key == Key::step(target.key.owner(), part)).then(|| part.clone())
            }
            _ => None,
        };
        let rest = self.progress.tasks().map_while(of_this_step);
        std::iter::once(target.part.clone()).chain(rest).collect()
    }

    fn is_listed(&self, target: &Target) -> bool {
        let Act::Read { way, .. } = &target.act else { return false };
        let is_off = self.power.is_isolated() && !self.stopping.is_on();
        let is_by_hand = self.by(way.as_ref()).is_none();
        let step = self.step_at(target.at);
        let is_of_a_list = |step: &Step| {
            let is_whole = target.key == Key::step(&step.step, &target.part);
            is_whole && !target.part.is_empty() && !step.is_read_twice() && !charges(step)
        };
        is_off && is_by_hand && step.is_some_and(is_of_a_list)
    }
}
