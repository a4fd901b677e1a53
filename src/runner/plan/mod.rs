//! The plan of a run: every window, ceiling, ramp and wait, before anything is switched on.
//!
//! May use what the runner may, and the runner itself: each number comes from the code that a run takes it from.
//!
//! Always true: nothing is asked and nothing is made up. What depends on a reading says after which step it is known, and
//! what depends on a missing fact names that fact.

mod figure;
mod making_safe;
mod model;
mod stage;
mod step;

use std::collections::BTreeMap;
use std::sync::Arc;

use super::machine::Runner;
use super::step_at::StepAt;
pub use model::{
    Figure, Foreseen, FormulaInput, GuardPlan, JudgedBy, MakingSafe, Missing, Needs, Plan,
    PlanError, PointPlan, StagePlan, StepPlan, Verified, Window,
};

impl Runner {
    /// Works out all that can be worked out before the run.
    #[must_use]
    pub fn plan(self) -> Plan {
        let procedure = Arc::clone(&self.procedure);
        let steps =
            procedure.steps().map(|(_, step)| (step.formula_name(), step.step.value.clone()));
        let mut planner = Planner {
            steps: steps.collect(),
            runner: self,
            found: BTreeMap::new(),
            used_for: BTreeMap::new(),
            errors: Vec::new(),
            safe_wait: Err(Needs::default()),
        };
        let missing = planner.facts();
        let mut worked_out = planner.worked_out();
        let making_safe = planner.making_safe();
        let at_hand = planner.runner.at_hand();
        let stages = (0..procedure.stages.len()).filter_map(|stage| planner.stage(stage)).collect();
        for figure in &mut worked_out {
            figure.used_for = planner.used_for.remove(&figure.name).unwrap_or_default();
        }
        Plan { missing, errors: planner.errors, at_hand, worked_out, making_safe, stages }
    }
}

/// A plan under construction.
struct Planner {
    runner: Runner,
    /// The steps by the names that formulas have for them.
    steps: BTreeMap<String, String>,
    /// What is known of each name so far.
    found: BTreeMap<String, Foreseen>,
    /// Where each name is used.
    used_for: BTreeMap<String, Vec<String>>,
    /// What cannot be worked out though all that it needs is known.
    errors: Vec<PlanError>,
    /// The wait after the source goes off (ms), or what it needs.
    safe_wait: Result<u64, Needs>,
}

impl Planner {
    /// Takes the facts of the equipment file; gives those that it lacks.
    fn facts(&mut self) -> Vec<Missing> {
        let procedure = Arc::clone(&self.runner.procedure);
        let mut missing = Vec::new();
        for (name, ask) in procedure.asks.iter() {
            let reason = match self.runner.written(name) {
                Some(text) => match self.runner.take_fact(name, &text) {
                    Ok(_) => continue,
                    Err(reason) => Some(reason),
                },
                None => None,
            };
            let unit = ask.unit.clone();
            let (name, ask) = (name.value.clone(), ask.ask.value.clone());
            missing.push(Missing { name, ask, unit, reason });
        }
        missing
    }

    /// Works out the values of the procedure, in order.
    fn worked_out(&mut self) -> Vec<Figure> {
        let procedure = Arc::clone(&self.runner.procedure);
        let mut figures = Vec::new();
        for (name, expression) in procedure.work_out.iter() {
            let (figure, estimate) = self.estimated(name, name, expression);
            if let Some(estimate) = estimate {
                self.runner.scope.give(name, estimate);
            }
            self.found.insert(name.value.clone(), figure.found.clone());
            figures.push(figure);
        }
        figures
    }

    /// Goes to a step, so that what the runner tells is told of its stage.
    fn go_to(&mut self, stage: usize, step: usize) {
        self.runner.progress.go_to(StepAt { stage, step });
    }
}
