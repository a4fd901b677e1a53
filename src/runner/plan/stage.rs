//! A stage: its ceiling, what has to stay inside while its source is on, its steps.

use std::sync::Arc;

use super::{Figure, GuardPlan, Planner, StagePlan};
use crate::procedure::{Acceptance, Point, Stage};
use crate::quantity::Dimension;

impl Planner {
    pub(super) fn stage(&mut self, number: usize) -> Option<StagePlan> {
        let procedure = Arc::clone(&self.runner.procedure);
        let stage = procedure.stages.get(number)?;
        self.go_to(number, 0);
        let ceiling = self.runner.ceiling(stage).ok().flatten();
        self.runner.scope.ceiling.clone_from(&ceiling);
        let source = stage.source.value;
        let presence = self.runner.presence_on(source);
        let written = procedure.presence_every.as_ref().filter(|_| presence.is_some());
        let reason = stage.ceiling.as_ref().and_then(|ceiling| ceiling.reason.as_ref());
        Some(StagePlan {
            stage: stage.stage.value.clone(),
            title: self.runner.scope.fill(&stage.title),
            source,
            ceiling,
            figures: self.ceiling(stage),
            reason: reason.map(|reason| self.runner.scope.fill(reason)),
            presence_every_ms: presence.map(|presence| presence.every_ms),
            presence: written
                .map(|expression| self.figure(&stage.stage, "presence_every", expression)),
            while_on: stage
                .while_on
                .iter()
                .map(|(point, window)| self.guard(stage, point, window))
                .collect(),
            steps: (0..stage.steps.len()).filter_map(|step| self.step(number, step)).collect(),
        })
    }

    fn ceiling(&mut self, stage: &Stage) -> Vec<Figure> {
        let Some(ceiling) = &stage.ceiling else { return Vec::new() };
        let written = [("voltage", &ceiling.voltage), ("current", &ceiling.current)];
        written
            .into_iter()
            .map(|(key, expression)| self.figure(&stage.stage, key, expression))
            .collect()
    }

    fn guard(&mut self, stage: &Stage, point: &str, window: &Acceptance) -> GuardPlan {
        let at = Point::parse(point);
        let dimension = at.unit().map_or(Dimension::NONE, |unit| unit.dimension());
        let bounds = window.bounds(&|name: &str| self.runner.scope.values(name)).ok();
        let guard = bounds.map(|bounds| self.runner.guard(at.clone(), bounds));
        GuardPlan {
            point: point.to_owned(),
            window: bounds,
            figures: self.figures(&stage.stage, |visit| window.visit(dimension, visit)),
            sampled_by: self.instrument(&at),
            limiting_is_outside: guard.is_some_and(|guard| guard.limiting_is_outside),
        }
    }

    /// The connected instrument that reads a point by itself.
    pub(super) fn instrument(&self, point: &Point) -> Option<String> {
        let (name, _) = self.runner.bench.as_ref()?.connected(point)?;
        self.runner.is_connected(point).then(|| name.to_owned())
    }
}
