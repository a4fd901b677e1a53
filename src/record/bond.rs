//! Which facts bind somebody by name, and to what.

use super::{Fact, Key, Part, WitnessOutcome};

/// What somebody other than the person at the bench stands for by name, and at which question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bond<'a> {
    /// Released a hold.
    Released(&'a Key),
    /// Accepted something as it is.
    Conceded(&'a Key),
    /// Supervises what the person at the bench may not do alone.
    Supervises,
    /// Was called to take a reading again.
    Called {
        /// The question of the reading.
        key: &'a Key,
        /// Whether an instrument sends that reading, so that the person types nothing to sign under.
        sent: bool,
    },
    /// Took the second reading.
    ReadAgain(&'a Key),
    /// Agreed on an act.
    Agreed(&'a Key),
    /// Came to a witness point.
    Witnessed(WitnessOutcome),
    /// Took over the bench.
    TookOver {
        /// From whom.
        from: &'a str,
    },
}

impl Fact {
    /// What the fact binds somebody to, and whom.
    #[must_use]
    pub fn bond(&self) -> Option<(Bond<'_>, &str)> {
        let (bond, by) = match self {
            Self::Released { key, by, .. } => (Bond::Released(key), by),
            Self::Conceded { key, by, .. } => (Bond::Conceded(key), by),
            Self::Supervised { by, .. } => (Bond::Supervises, by),
            Self::VerifierNamed { key, by, sent } => (Bond::Called { key, sent: *sent }, by),
            Self::Verified { key, by, .. } => (Bond::ReadAgain(key), by),
            Self::Agreed { key, by, .. } => (Bond::Agreed(key), by),
            Self::Witnessed { by, outcome, .. } => (Bond::Witnessed(*outcome), by),
            Self::TookOver { from, to } => (Bond::TookOver { from }, to),
            Self::Given { .. }
            | Self::WorkedOut { .. }
            | Self::StageOpened { .. }
            | Self::StageHeld { .. }
            | Self::NoticeAnswered { .. }
            | Self::Judged { .. }
            | Self::Watched { .. }
            | Self::Present { .. }
            | Self::ClockSet { .. }
            | Self::NotConfirmedOff { .. }
            | Self::ConfirmedOff { .. }
            | Self::CalibrationOverdue { .. }
            | Self::Seen { .. }
            | Self::Done { .. }
            | Self::LeftOut(_)
            | Self::Written { .. }
            | Self::Practised(_)
            | Self::Fitted { .. }
            | Self::Removed { .. }
            | Self::Cleared { .. }
            | Self::NotApproved(_)
            | Self::WorksAlone { .. }
            | Self::Waited { .. }
            | Self::Refused { .. }
            | Self::Energy { .. }
            | Self::MeterRejected { .. }
            | Self::StillCharged { .. }
            | Self::ProvedDead(_)
            | Self::ProofStands(_)
            | Self::Stopped { .. }
            | Self::Again { .. }
            | Self::Repaired { .. }
            | Self::Stale { .. }
            | Self::Expired { .. }
            | Self::WentBack { .. }
            | Self::Reentered { .. }
            | Self::Closed { .. }
            | Self::Amended(_)
            | Self::Voided(_)
            | Self::VerificationDue { .. } => return None,
        };
        Some((bond, by))
    }

    /// The part beside the bench that somebody took by it, and who.
    #[must_use]
    pub fn part(&self) -> Option<(Part, &str)> {
        let (bond, by) = self.bond()?;
        let part = match bond {
            Bond::Supervises => Part::Supervise,
            Bond::Called { .. } | Bond::ReadAgain(_) | Bond::Agreed(_) => Part::Verify,
            Bond::Witnessed(WitnessOutcome::Attended) => Part::Witness,
            Bond::Released(_) => Part::Release,
            Bond::Conceded(_) => Part::Concede,
            // Who takes over the bench has no part beside it.
            Bond::Witnessed(WitnessOutcome::Waived) | Bond::TookOver { .. } => return None,
        };
        Some((part, by))
    }
}
