//! A step: its windows and times, as the run would lay it out now.

use std::sync::Arc;

use super::{Figure, Foreseen, JudgedBy, Needs, Planner, StepPlan, Verified, Window};
use crate::procedure::Step;
use crate::procedure::act::{Act, MeterUse, Watching, Way};
use crate::procedure::step::{Kind, Piece};
use crate::quantity::Estimate;
use crate::runner::facts::expanded;
use crate::window::Bounds;

impl Planner {
    /// Plans a step; nothing for one without a number in it.
    pub(super) fn step(&mut self, stage: usize, step: usize) -> Option<StepPlan> {
        let procedure = Arc::clone(&self.runner.procedure);
        self.go_to(stage, step);
        let stage = procedure.stages.get(stage)?;
        let is_agreed_on = stage.is_agreed_on(step);
        let step = stage.steps.get(step)?;
        let kind = step.kind()?;
        let left_out = step.is_by_hand_only() && !self.runner.outputs().is_empty();
        let parts = self.parts(step);
        let mut plan = StepPlan {
            step: step.step.value.clone(),
            kind: kind.name(),
            what: self.runner.scope.fill(first_text(kind).unwrap_or_default()),
            parts: parts.as_ref().cloned().unwrap_or_default(),
            unit: None,
            windows: Vec::new(),
            time_ms: None,
            figures: self.step_figures(step, kind),
            why: step.why.as_ref().map(|why| self.runner.scope.fill(why)),
            basis: step.basis.as_ref().map(|basis| self.runner.scope.fill(basis)),
            by: None,
            meter: None,
            verified: verified(step, is_agreed_on && !left_out),
            left_out,
            open: parts.err().map(Foreseen::Needs),
        };
        let acts = stage.acts(step, &|name: &str| self.runner.scope.values(name));
        match acts {
            Ok(acts) => acts.iter().for_each(|keyed| self.act(&mut plan, step, &keyed.act)),
            Err(error) => {
                let figures = plan.figures.iter().map(|figure| &figure.found);
                plan.open = Some(self.open(&step.step, figures, error));
                let values = |name: &str| self.runner.scope.values(name);
                let bounds = kind.window().and_then(|window| window.bounds(&values).ok());
                let bounds = bounds.map(|bounds| bounds.with_sign(kind.sign()));
                plan.windows.extend(bounds.map(|bounds| Window { of: "", bounds }));
                plan.unit = kind.unit().cloned();
            }
        }
        let is_empty = plan.windows.is_empty() && plan.figures.is_empty();
        let is_told = !is_empty || plan.time_ms.is_some() || plan.open.is_some() || left_out;
        (is_told || plan.verified.is_some()).then_some(plan)
    }

    fn step_figures(&mut self, step: &Step, kind: &dyn Kind) -> Vec<Figure> {
        let within = step.agree_within.as_ref();
        let within = within.map(|expression| self.figure(&step.step, "agree_within", expression));
        let figures = self.figures(&step.step, |visit| kind.visit(visit));
        figures.into_iter().chain(within).collect()
    }

    /// The parts of a repeated step, or the lists that are missing.
    fn parts(&self, step: &Step) -> Result<Vec<String>, Needs> {
        let named: Vec<_> =
            step.for_each.iter().flatten().map(|part| part.value.as_str()).collect();
        let asks = &self.runner.procedure.asks;
        let is_missing = |name: &&&str| {
            asks.get(name).is_some_and(|ask| ask.parts) && !self.runner.scope.has_fact(name)
        };
        let missing: Vec<_> = named.iter().filter(is_missing).collect();
        if missing.is_empty() {
            let parts = self.runner.scope.each(named.into_iter());
            return Ok(parts.into_iter().map(str::to_owned).collect());
        }
        let missing = missing.into_iter().map(|name| (*name).to_owned()).collect();
        Err(Needs { missing, ..Needs::default() })
    }

    /// Adds what an act comes to.
    fn act(&mut self, plan: &mut StepPlan, step: &Step, act: &Act) {
        plan.time_ms = act.time_ms().or(plan.time_ms);
        match act {
            Act::Read { unit, bounds, meter, way, .. } => {
                plan.unit = Some(unit.clone());
                plan.windows.push(Window { of: "", bounds: *bounds });
                plan.by = self.by(way.as_ref());
                plan.meter = meter.as_ref().and_then(|used| self.judged_by(used, bounds));
            }
            Act::Watch(watching) => self.watch(plan, watching),
            Act::WorkOut { value, unit, bounds, .. } => {
                plan.unit = Some(unit.clone());
                plan.windows.push(Window { of: "", bounds: *bounds });
                let estimate = self.runner.result(step);
                let estimate = estimate.unwrap_or_else(|| Estimate::exact(*value));
                self.runner.scope.read(&step.formula_name(), "", estimate);
            }
            Act::SourceOff { .. } => match &self.safe_wait {
                Ok(ms) => plan.time_ms = Some(*ms),
                Err(needs) => plan.open = Some(Foreseen::Needs(needs.clone())),
            },
            Act::Wait { .. }
            | Act::Do { .. }
            | Act::Look { .. }
            | Act::Steady { .. }
            | Act::Energise
            | Act::ProveDead
            | Act::Hold { .. }
            | Act::Witness { .. }
            | Act::Note { .. }
            | Act::Attach { .. } => {}
        }
    }

    fn watch(&self, plan: &mut StepPlan, watching: &Watching) {
        plan.unit = Some(watching.unit.clone());
        plan.windows.push(Window { of: "", bounds: watching.bounds });
        let steady = &watching.steady;
        let drift = steady.drift_per_minute.map(|most| ("drift", most));
        let settled = steady.settled.map(|(most, _)| ("settled", most));
        for (of, most) in drift.into_iter().chain(settled) {
            plan.windows.push(Window { of, bounds: Bounds::at_most(most) });
        }
        plan.by = watching.point.as_ref().and_then(|point| self.instrument(point));
        let meter = watching.meter.as_ref();
        plan.meter = meter.and_then(|used| self.judged_by(used, &watching.bounds));
    }

    /// The connected instrument that takes a reading by itself.
    fn by(&self, way: Option<&Way>) -> Option<String> {
        match *self.runner.by(way)? {
            Way::At(point) => self.instrument(&point),
            Way::Ramp { channels, .. } => {
                let (name, _) = self.runner.bench.as_ref()?.supply(channels.first()?)?;
                Some(name.value.clone())
            }
        }
    }

    /// What the meter promises at the value to expect.
    fn judged_by(&self, used: &MeterUse, bounds: &Bounds) -> Option<JudgedBy> {
        let bench = self.runner.bench.as_ref()?;
        let meter = bench.meter(&used.function)?;
        let at = bounds.looked_up_at();
        let conditions = bench.conditions(used.source_resistance);
        let shown = at.and_then(|at| meter.on_range(at, "expected", &conditions));
        let estimate = shown.as_ref().and_then(|(_, estimate)| estimate.as_ref());
        let uncertainty = estimate.and_then(expanded);
        Some(JudgedBy {
            function: used.function.clone(),
            meter: meter.name.to_owned(),
            instrument: meter.words(),
            at,
            range: shown.as_ref().map(|(accuracy, _)| accuracy.range),
            uncertainty,
            ratio: uncertainty.as_ref().and_then(|uncertainty| bounds.ratio(uncertainty)),
        })
    }
}

fn verified(step: &Step, is_agreed_on: bool) -> Option<Verified> {
    match (step.is_read_twice(), is_agreed_on) {
        (true, _) => Some(Verified::ReadTwice),
        (false, true) => Some(Verified::AgreedBefore),
        (false, false) => None,
    }
}

/// What a step is about: its first text.
fn first_text(kind: &dyn Kind) -> Option<&str> {
    let mut first = None;
    kind.visit(&mut |part| {
        if let (None, Piece::Text(text)) = (first, part) {
            first = Some(text.value.as_str());
        }
    });
    first
}
