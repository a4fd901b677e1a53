//! Temporary items that are fitted, and the sources that may come on with them in.

use super::batch::Batch;
use super::machine::Runner;
use super::step_at::StepAt;
use crate::procedure::Step;
use crate::record::{Fact, Source, StopReason};

impl Runner {
    /// Keeps what a step fitted or took out.
    pub(super) fn fitted_by(&mut self, batch: &mut Batch, at: StepAt) {
        let Some(step) = self.step_at(at) else { return };
        let fits = step.fits.as_ref().map(|item| item.value.clone());
        let removes = step.removes.as_ref().map(|item| item.value.clone());
        if let Some(item) = fits {
            self.fitted.insert(item.clone());
            batch.facts.push(Fact::Fitted { item });
        }
        if let Some(item) = removes {
            self.fitted.remove(&item);
            batch.facts.push(Fact::Removed { item });
        }
    }

    pub(super) fn fitted_names(&self) -> Vec<String> {
        self.fitted.iter().cloned().collect()
    }

    /// Stops where something is fitted that the source may not come on with, and tells whether it did.
    pub(super) fn stops_on_fitted(&mut self, batch: &mut Batch, source: Source) -> bool {
        let items: Vec<String> =
            self.fitted_names().into_iter().filter(|item| !self.may_be_in(item, source)).collect();
        let is_stop = !items.is_empty() && !self.era.is_former();
        if is_stop {
            self.stop(batch, StopReason::StillFitted { items, source });
        }
        is_stop
    }

    /// Stops before a step that would fit something on live equipment which may not be there, and tells whether it did.
    pub(super) fn stops_on_fitting(&mut self, batch: &mut Batch, at: StepAt) -> bool {
        let Some(source) = self.power.source() else { return false };
        if self.era.is_former() {
            return false;
        }
        let item = self.step_at(at).and_then(|step| step.fits.as_ref());
        let Some(item) = item.map(|item| item.value.clone()) else { return false };
        let is_stop = !self.may_be_in(&item, source);
        if is_stop {
            self.stop(batch, StopReason::StillFitted { items: vec![item], source });
        }
        is_stop
    }

    /// Whether every step that fits an item allows it on this source.
    fn may_be_in(&self, item: &str, source: Source) -> bool {
        let is_of = |step: &&Step| step.fits.as_ref().is_some_and(|fitted| fitted.value == item);
        let mut steps = self.procedure.steps().map(|(_, step)| step).filter(is_of);
        steps.all(|step| step.is_allowed_on(source))
    }
}
