//! When two versions of the program conclude the same.

use super::{Energy, Fact, Origin};
use crate::window::Sign;

impl Fact {
    /// The fact without the words in which the program put it, and without what not every version wrote down.
    #[must_use]
    pub fn without_wording(&self) -> Self {
        let mut bare = self.clone();
        match &mut bare {
            // The basis stands in the procedure. What a minus means was not written down by every version, and later ones
            // work chances out better.
            Self::Judged { what, origin, bounds, basis, decision, .. } => {
                what.clear();
                *basis = None;
                bounds.sign = Sign::default();
                decision.forget_chances(*origin == Origin::WorkedOut);
            }
            Self::Watched { bounds: Some(bounds), .. } => bounds.sign = Sign::default(),
            Self::Seen { what, .. }
            | Self::Done { what, .. }
            | Self::Written { what, .. }
            | Self::Verified { what, .. }
            | Self::Agreed { what, .. } => what.clear(),
            // An earlier record has the reason as a sentence; a code with its values is compared.
            Self::Refused { reason, .. } => reason.forget_sentence(),
            Self::Stopped { reason, .. } => reason.forget_sentence(),
            // Nothing but codes, values, and what people typed.
            Self::Watched { bounds: None, .. }
            | Self::Given { .. }
            | Self::WorkedOut { .. }
            | Self::StageOpened { .. }
            | Self::StageHeld { .. }
            | Self::NoticeAnswered { .. }
            | Self::Present { .. }
            | Self::ClockSet { .. }
            | Self::NotConfirmedOff { .. }
            | Self::ConfirmedOff { .. }
            | Self::CalibrationOverdue { .. }
            | Self::Conceded { .. }
            | Self::LeftOut(_)
            | Self::Fitted { .. }
            | Self::Practised(_)
            | Self::Removed { .. }
            | Self::Cleared { .. }
            | Self::Released { .. }
            | Self::Supervised { .. }
            | Self::Witnessed { .. }
            | Self::NotApproved(_)
            | Self::WorksAlone { .. }
            | Self::Waited { .. }
            | Self::Energy { .. }
            | Self::MeterRejected { .. }
            | Self::StillCharged { .. }
            | Self::ProvedDead(_)
            | Self::ProofStands(_)
            | Self::Again { .. }
            | Self::Repaired { .. }
            | Self::Stale { .. }
            | Self::Expired { .. }
            | Self::WentBack { .. }
            | Self::Reentered { .. }
            | Self::TookOver { .. }
            | Self::Closed { .. }
            | Self::Amended(_)
            | Self::Voided(_)
            | Self::VerificationDue { .. }
            | Self::VerifierNamed { .. } => {}
        }
        bare
    }

    /// Puts its reason as a sentence where an earlier record has one, so that the two can be compared.
    pub fn put_as(&mut self, earlier: &Self) {
        match (earlier, self) {
            (Self::Refused { reason: earlier, .. }, Self::Refused { reason, .. }) => {
                reason.put_as(earlier);
            }
            (Self::Stopped { reason: earlier, .. }, Self::Stopped { reason, .. }) => {
                reason.put_as(earlier);
            }
            _ => {}
        }
    }

    /// Tells whether both are as sure of what they judge. One build of the program works that out alike each time.
    #[must_use]
    pub fn is_as_sure_as(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Judged { decision, .. }, Self::Judged { decision: theirs, .. }) => {
                decision.is_as_sure_as(theirs)
            }
            _ => true,
        }
    }

    /// Tells whether both conclude the same of the run, with other words or with other limits and values worked out on the
    /// way: the same verdict on the same reading, the same energy, the same release.
    #[must_use]
    pub fn concludes_as(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::WorkedOut { name, .. }, Self::WorkedOut { name: other, .. }) => name == other,
            (
                Self::StageOpened { stage, source, .. },
                Self::StageOpened { stage: other, source: theirs, .. },
            ) => (stage, source) == (other, theirs),
            (Self::Waited { key, .. }, Self::Waited { key: other, .. }) => key == other,
            (Self::Energy { state }, Self::Energy { state: other }) => state.is_like(other),
            (
                Self::Closed { outcome, energy, safe, resumable },
                Self::Closed { outcome: theirs, energy: other, safe: s, resumable: r },
            ) => (outcome, safe, resumable) == (theirs, s, r) && energy.is_like(other),
            (Self::Judged { .. }, Self::Judged { .. }) => self.is_judged_as(other),
            (Self::Verified { .. }, Self::Verified { .. }) => {
                self.without_width() == other.without_width()
            }
            _ => self.without_wording() == other.without_wording(),
        }
    }

    /// Tells whether two readings are the same and got the same verdict. What was worked out is another value where a
    /// version works it out otherwise.
    fn is_judged_as(&self, other: &Self) -> bool {
        let conclusion = |fact: &Self| match fact {
            Self::Judged { key, attempt, text, reading, unit, origin, verdict, .. } => {
                let read = (*origin != Origin::WorkedOut).then(|| (text.clone(), *reading));
                Some((key.clone(), *attempt, read, unit.clone(), *origin, *verdict))
            }
            _ => None,
        };
        conclusion(self) == conclusion(other)
    }

    /// A second reading without how far it may be from the first.
    fn without_width(&self) -> Self {
        let mut bare = self.without_wording();
        if let Self::Verified { within, .. } = &mut bare {
            *within = None;
        }
        bare
    }
}

impl Energy {
    /// Tells whether both say the same of what feeds the equipment, whatever its ceiling.
    fn is_like(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Energised { source, .. }, Self::Energised { source: other, .. }) => {
                source == other
            }
            _ => self == other,
        }
    }
}
