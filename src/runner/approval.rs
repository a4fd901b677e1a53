//! Whether the people file of a run is the one that the shop approved.

use super::effect::{Advice, Effect, Sitting};
use super::machine::{Batch, Runner};
use crate::record::{Approval, Fact, Opening, Unapproved};

/// The hashes of the files that say who may do what.
#[derive(Clone, Debug, Default)]
pub(super) struct StaffFiles {
    people: Option<String>,
    signers: Option<String>,
}

impl StaffFiles {
    pub(super) fn of(opening: &Opening) -> Self {
        let [people, signers] = opening.staff_hashes().map(|own| own.map(str::to_owned));
        Self { people, signers }
    }
}

impl Runner {
    /// Notes that the people file is not the one that was approved last. Records from before that was known say nothing of it, and
    /// without a people file there is nothing to approve.
    pub(super) fn note_approval(
        &self,
        batch: &mut Batch,
        approval: Option<&Approval>,
        sitting: Sitting,
    ) {
        let StaffFiles { people, signers } = &self.staff_files;
        let Some(approved) = approval.map(Approval::approved) else { return };
        let is_right = match approved {
            None => people.is_none(),
            Some(own) => own.is_of(people.as_deref(), signers.as_deref()),
        };
        if !is_right {
            let (people, signers) = (people.clone(), signers.clone());
            let approved = approved.cloned();
            let how = Unapproved { people, signers, approved };
            // Where none ever was, nobody at the bench can do anything about it.
            if how.approved.is_some() {
                batch
                    .effects
                    .push(Effect::Advise(Advice::NotApproved(Box::new(how.clone()), sitting)));
            }
            batch.facts.push(Fact::NotApproved(Box::new(how)));
        }
    }
}
