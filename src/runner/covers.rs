//! Covers of the equipment: which charge points can be reached, and whether the proof of dead that stands holds for them.
//!
//! Always true: a proof of dead stands only where every point that can be reached was measured in it.

use super::batch::Batch;
use super::machine::Runner;
use super::step_at::StepAt;
use crate::procedure::{At, ChargePoint};

impl Runner {
    /// The charge points that can be reached where the run is, by their numbers: those behind no cover, and those whose cover is open.
    /// All of them where that would be none: a proof measures something.
    pub(super) fn reachable(&self) -> Vec<usize> {
        let points = || self.procedure.charge_points.iter().enumerate();
        let open = points().filter(|(_, (_, point))| self.is_open(point)).map(|(n, _)| n);
        let open: Vec<usize> = open.collect();
        if open.is_empty() { points().map(|(n, _)| n).collect() } else { open }
    }

    /// Whether nothing covers a point here. Every cover is closed until a step before this one has opened it: going back in the procedure
    /// goes back in that too, and asks for more points rather than for fewer.
    fn is_open(&self, point: &ChargePoint) -> bool {
        let Some(cover) = point.behind.as_deref() else { return true };
        let here = self.progress.at().unwrap_or(StepAt { stage: 0, step: 0 });
        let mut is_open = false;
        let steps = self.procedure.stages.iter().map(|stage| &stage.steps);
        for (stage, steps) in steps.enumerate() {
            for (step, passed) in steps.iter().enumerate() {
                if (StepAt { stage, step }) >= here {
                    return is_open;
                }
                let is_of = |name: &Option<At<String>>| name.as_deref() == Some(cover);
                is_open = is_of(&passed.opens) || is_open && !is_of(&passed.closes);
            }
        }
        is_open
    }

    /// Ends a proof of dead that left out a point which can be reached here.
    pub(super) fn uncover(&mut self, batch: &mut Batch) {
        if self.power.is_proved_dead() && !self.power.is_proved_at(&self.reachable()) {
            self.power.isolate(batch);
        }
    }

    /// The charge points that the proof of dead which stands left out, by name.
    #[must_use]
    pub fn unmeasured(&self) -> Vec<String> {
        if !self.power.is_proved_dead() {
            return Vec::new();
        }
        let points = self.procedure.charge_points.iter().enumerate();
        let left_out = points.filter(|(n, _)| !self.power.is_proved_at(&[*n]));
        left_out.map(|(_, (name, _))| name.value.clone()).collect()
    }
}
