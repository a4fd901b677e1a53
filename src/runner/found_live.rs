//! A voltage on equipment that is taken for dead: the proof ends there and then, whatever the step's own window says.
//!
//! The readings of a proof itself have their own answer: the point still holds charge, and is measured again.

use super::batch::Batch;
use super::effect::StopView;
use super::judge::Judging;
use super::machine::Runner;
use super::step_at::StepAt;
use crate::procedure::Step;
use crate::quantity::{Quantity, Reading};
use crate::record::StopReason;
use crate::window::Bounds;

impl Runner {
    /// What a voltage of the equipment stays inside of while that is taken for dead, either way round; none for any other value.
    pub(super) fn dead_window(&self, at: StepAt) -> Option<Bounds> {
        let is_trusted = self.power.is_proved_dead() && !self.era.is_former();
        if !is_trusted || !self.step_at(at).is_some_and(Step::measures_voltage) {
            return None;
        }
        let values = |name: &str| self.scope.values(name);
        let limit = self.procedure.dead_limit(|below| below.evaluate(&values).ok())?;
        Self::volts(&[Quantity::new(limit.value.neg(), limit.dimension), limit])
    }

    /// Tells whether a reading says that equipment is live which is taken for dead.
    pub(super) fn is_found_live(&self, at: StepAt, reading: &Reading) -> bool {
        let is_value = !matches!(reading, Reading::NotANumber);
        is_value && self.dead_window(at).is_some_and(|dead| dead.judge(reading).is_outside())
    }

    /// Ends the proof and stops: hands out, switch off, prove dead again.
    pub(super) fn found_live(&mut self, batch: &mut Batch, at: StepAt, judging: Judging) {
        let limit = self.dead_window(at).and_then(|dead| dead.high);
        let limit = limit.map(|limit| limit.engineering(4, None)).unwrap_or_default();
        let shown = judging.shown(None);
        let what =
            format!("THIS IS LIVE: HANDS OUT. {}: {shown}, and dead ends at {limit}", judging.what);
        let reason = StopReason::FoundLive { key: judging.key.clone() };
        self.stop_at(batch, judging.key, reason, StopView { what, causes: Vec::new() });
    }
}
