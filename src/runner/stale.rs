//! Results that a moved control makes worthless: dropped at once, taken again before anything builds on them.

use super::batch::Batch;
use super::machine::Runner;
use super::step_at::StepAt;
use super::task::Task;
use crate::record::Fact;

impl Runner {
    /// Drops every result that depends on what this step has just moved.
    pub(super) fn moved(&mut self, batch: &mut Batch, at: StepAt) {
        let Some(control) = self.step_at(at).and_then(|step| step.moves.clone()) else { return };
        let mut steps = Vec::new();
        for (stage, step) in self.procedure.stale_after(&control) {
            let at = StepAt { stage, step };
            let name = self.name_at(at);
            if self.results.make_stale(&name, at) {
                steps.push(name);
            }
        }
        if !steps.is_empty() {
            batch.facts.push(Fact::Stale { steps, because: control.value });
        }
    }

    /// Goes back to the stale results before a stage, a step or the end of a stage, and tells whether any were due.
    ///
    /// Those that the source still feeds as it did are taken again alone, and the run goes on with `then`. If there is
    /// one that it does not, work is taken up again where that one stands, the equipment made safe first.
    pub(super) fn goes_back(&mut self, batch: &mut Batch, then: Task) -> bool {
        let to = match then {
            Task::Step(at) if self.builds_on_stale(at) => at,
            Task::Stage(stage) => StepAt { stage, step: 0 },
            Task::StageEnd(stage) => StepAt { stage, step: usize::MAX },
            _ => return false,
        };
        let stale: Vec<StepAt> = self.results.stale_before(to).collect();
        if stale.is_empty() {
            return false;
        }
        let steps = stale.iter().map(|at| self.name_at(*at)).collect();
        batch.facts.push(Fact::WentBack { steps });
        let here = (to.stage, to.step);
        let lost = |at: &&StepAt| !self.procedure.is_fed_alike((at.stage, at.step), here);
        let tasks: Vec<Task> = match stale.iter().find(lost) {
            None => stale.into_iter().map(Task::Step).chain([then]).collect(),
            Some(at) => {
                self.progress.go_to(*at);
                self.progress.drop_tasks();
                let live = self.power.is_live();
                let safe = if live { self.make_safe() } else { Vec::new() };
                safe.into_iter().chain([Task::Reenter]).collect()
            }
        };
        self.progress.first(tasks);
        true
    }

    /// Tells whether a step has to wait until stale results before it are taken again: it changes what feeds the
    /// equipment, takes out what is fitted, has a person sign for what stands, or uses one of them.
    fn builds_on_stale(&self, at: StepAt) -> bool {
        let Some(step) = self.step_at(at).filter(|_| self.results.has_stale()) else {
            return false;
        };
        let uses = step.uses();
        let is_used =
            |at: StepAt| self.step_at(at).is_some_and(|step| uses.contains(&step.formula_name()));
        step.set.is_some()
            || step.prove_dead.is_some()
            || step.hold.is_some()
            || step.removes.is_some()
            || self.results.stale_before(at).any(is_used)
    }

    fn name_at(&self, at: StepAt) -> String {
        self.step_at(at).map(|step| step.step.value.clone()).unwrap_or_default()
    }
}
