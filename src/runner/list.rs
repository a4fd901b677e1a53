//! Questions that are one list to the person: readings of one kind on many parts, things to do one after another, looks.
//!
//! Always true: only with the source off is anything a list. With anything live, or where a test charges what it measures, each answer
//! is judged before the next is taken. What a second person takes again, and what an instrument reads, comes one by one too.

use super::answer::Target;
use super::effect::ListRow;
use super::machine::Runner;
use super::step_at::StepAt;
use super::task::Task;
use crate::procedure::Step;
use crate::procedure::act::{Act, Choice};
use crate::procedure::safety::charges;
use crate::record::Key;

/// The most answers that looks of one list offer in all: each is typed as one digit.
const DIGITS: usize = 9;

impl Runner {
    /// The questions that may be answered on one line with this one, this one first; none where that may not be.
    pub(super) fn list(&self, target: &Target) -> Vec<ListRow> {
        if !self.power.is_isolated() || self.stopping.is_on() {
            return Vec::new();
        }
        match &target.act {
            Act::Read { .. } => self.readings(target),
            Act::Do { .. } => self.like(target, |_| true),
            Act::Look { choices, .. } => {
                let mut offered = choices.len();
                self.like(target, |row| {
                    offered += row.choices.len();
                    offered <= DIGITS
                })
            }
            _ => Vec::new(),
        }
    }

    /// The readings of the step at hand on this part and on those that follow.
    fn readings(&self, target: &Target) -> Vec<ListRow> {
        if !self.are_listed(target) {
            return Vec::new();
        }
        let of_this_step = |task: &Task| match task {
            Task::Act { key, part, at, act: Act::Read { .. } } if *at == target.at => {
                (*key == Key::step(target.key.owner(), part)).then(|| row(key, part.clone(), &[]))
            }
            _ => None,
        };
        let this = row(&target.key, target.part.clone(), &[]);
        std::iter::once(this).chain(self.progress.tasks().map_while(of_this_step)).collect()
    }

    fn are_listed(&self, target: &Target) -> bool {
        let Act::Read { way, .. } = &target.act else { return false };
        let is_of_a_list = |step: &Step| {
            let is_whole = target.key == Key::step(&step.step, &target.part);
            is_whole && !target.part.is_empty() && !step.is_read_twice() && !charges(step)
        };
        self.by(way.as_ref()).is_none() && self.step_at(target.at).is_some_and(is_of_a_list)
    }

    /// What follows of the same kind as the act at hand, within its stage, as far as nothing else comes between and `fits` takes it.
    fn like(&self, target: &Target, fits: impl FnMut(&ListRow) -> bool) -> Vec<ListRow> {
        if !self.is_plain(target.at) {
            return Vec::new();
        }
        let this = self.row_like(target, &target.key, &target.part, &target.act);
        let coming = self.progress.tasks().map_while(|task| match task {
            Task::StepEnd(_) => Some(Vec::new()),
            Task::Act { key, part, act, .. } => Some(vec![self.row_like(target, key, part, act)]),
            Task::Step(at) if self.is_plain(*at) => Some(self.rows_of(target, *at)),
            _ => None,
        });
        let coming = coming.flatten().map_while(|row| row).take_while(fits);
        this.into_iter().chain(coming).collect()
    }

    /// Whether nothing but its question comes with a step: no notice, no cover, no proof, no second person.
    fn is_plain(&self, at: StepAt) -> bool {
        let stage = self.procedure.stages.get(at.stage);
        let is_agreed_on = stage.is_none_or(|stage| stage.is_agreed_on(at.step));
        let is_plain = |step: &Step| {
            let is_of_a_cover = step.opens.is_some() || step.closes.is_some();
            let is_left_out = step.is_by_hand_only() && !self.outputs().is_empty();
            step.hazard.is_none() && !is_of_a_cover && !is_left_out
        };
        !is_agreed_on && !self.needs_proof(at) && self.step_at(at).is_some_and(is_plain)
    }

    /// The rows of a step that was not laid out yet. One that is of another kind, or can't be worked out, ends the list.
    fn rows_of(&self, target: &Target, at: StepAt) -> Vec<Option<ListRow>> {
        let tasks = self.step_at(at).map(|step| self.acts(step, at));
        let Some(Ok(tasks)) = tasks else { return vec![None] };
        let row = |task: &Task| match task {
            Task::Act { key, part, act, .. } => self.row_like(target, key, part, act),
            _ => None,
        };
        tasks.iter().map(row).collect()
    }

    fn row_like(&self, target: &Target, key: &Key, part: &str, act: &Act) -> Option<ListRow> {
        let (what, choices): (_, &[Choice]) = match (&target.act, act) {
            (Act::Do { .. }, Act::Do { what }) => (what, &[]),
            (Act::Look { .. }, Act::Look { what, choices }) => (what, choices),
            _ => return None,
        };
        let what = self.scope.fill(what);
        let what = if part.is_empty() { what } else { format!("{part}: {what}") };
        Some(row(key, what, choices))
    }
}

fn row(key: &Key, what: String, choices: &[Choice]) -> ListRow {
    ListRow { key: key.clone(), what, choices: choices.to_vec() }
}
