//! What follows whenever the source goes off: the wait and the proof of dead.

use std::sync::Arc;

use super::{Figure, MakingSafe, Needs, Planner, PointPlan};
use crate::procedure::ChargePoint;
use crate::runner::task::ProofPart;
use crate::window::Bounds;

impl Planner {
    pub(super) fn making_safe(&mut self) -> MakingSafe {
        let procedure = Arc::clone(&self.runner.procedure);
        let points = procedure.charge_points.iter().enumerate();
        let points: Vec<_> = points.map(|(n, (name, point))| self.point(n, name, point)).collect();
        let wait = self.runner.safe_wait();
        let figures = points.iter().flat_map(|point| &point.figures);
        let needs = Needs::of(figures.map(|figure| &figure.found));
        self.safe_wait = needs.map_or(Ok(wait.ms), Err);
        let lasts = procedure.proof_lasts.as_ref();
        MakingSafe {
            wait_ms: self.safe_wait.as_ref().ok().copied(),
            unknown: wait.unknown,
            kept: wait.kept,
            proof_lasts_ms: self.runner.proof_lasts_ms(),
            proof_lasts: lasts
                .map(|expression| self.figure("proof of dead", "proof_lasts", expression)),
            known_source: self.runner.scope.fill(&procedure.known_source.what),
            known_source_window: self.proved(ProofPart::Before),
            points,
        }
    }

    fn point(&mut self, number: usize, name: &str, point: &ChargePoint) -> PointPlan {
        PointPlan {
            point: name.to_owned(),
            at: point.with_cover(self.runner.scope.fill(&point.at)),
            window: self.proved(ProofPart::Point(number)),
            wait_ms: self.runner.discharge_ms(point, None),
            figures: self.stored(name, point),
        }
    }

    fn stored(&mut self, name: &str, point: &ChargePoint) -> Vec<Figure> {
        let mut written = vec![("below", &point.below)];
        if let Some(stored) = &point.holds {
            written
                .extend([("capacitance", &stored.capacitance), ("charged_to", &stored.charged_to)]);
            written.extend(stored.bleeder.iter().map(|bleeder| ("bleeder", bleeder)));
        }
        written.into_iter().map(|(key, expression)| self.figure(name, key, expression)).collect()
    }

    /// The window of one reading of a proof.
    fn proved(&self, part: ProofPart) -> Option<Bounds> {
        self.runner.proof_reading(part).map(|(_, _, bounds)| bounds)
    }
}
