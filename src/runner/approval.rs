//! Whether the people file of a run is the one that the shop approved.

use super::batch::Batch;
use super::effect::{Advice, Effect, WhichSitting};
use super::machine::Runner;
use crate::record::{Approval, Fact};

impl Runner {
    /// Notes that the people file is not the one that was approved last. Records from before that was known say nothing of it.
    pub(super) fn note_approval(
        &self,
        batch: &mut Batch,
        approval: Option<&Approval>,
        sitting: WhichSitting,
    ) {
        let Some(approved) = approval.map(Approval::approved) else { return };
        let Some(how) = self.staff_files.differ_from(approved).map(Box::new) else { return };
        // Where none ever was, nobody at the bench can do anything about it.
        if approved.is_some() {
            batch.effects.push(Effect::Advise(Advice::NotApproved(how.clone(), sitting)));
        }
        batch.facts.push(Fact::NotApproved(how));
    }
}
