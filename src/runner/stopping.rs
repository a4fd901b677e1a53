//! What a stop leaves behind: why, whether the person has decided how to go on, and how the run would end now.
//!
//! Always true: the ending only gets worse until the person decides; a reading that failed too often is not tried again
//! before something is repaired.

use std::collections::BTreeMap;

use super::effect::StopView;
use crate::record::{Key, Outcome, StopReason};

/// How often one question may stop the run before something has to be repaired.
const FAILURES_MAX: u32 = 3;

/// The stop at hand, and what earlier ones add to it.
#[derive(Clone, Debug)]
pub(super) struct Stopping {
    view: Option<StopView>,
    /// A stop on a reading waits for the person's decision.
    is_undecided: bool,
    /// The question at which that stop came.
    key: Option<Key>,
    /// How often each question has stopped the run since the last repair.
    failures: BTreeMap<Key, u32>,
    ending: Outcome,
}

impl Stopping {
    pub(super) fn none() -> Self {
        let ending = Outcome::Finished;
        Self { view: None, is_undecided: false, key: None, failures: BTreeMap::new(), ending }
    }

    /// Tells whether the run is stopped: until work is taken up again, only making safe is asked.
    pub(super) fn is_on(&self) -> bool {
        self.view.is_some()
    }

    pub(super) fn view(&self) -> Option<&StopView> {
        self.view.as_ref()
    }

    /// Tells whether the person has still to decide about what stopped the run.
    pub(super) fn is_undecided(&self) -> bool {
        self.is_undecided
    }

    /// How the run would end now.
    pub(super) fn ending(&self) -> Outcome {
        self.ending
    }

    /// Stops. A later event does not push the reading that stopped the run out of sight.
    pub(super) fn begin(&mut self, key: Option<Key>, reason: &StopReason, view: Option<StopView>) {
        let seen = self.view.take().filter(|_| self.is_undecided);
        let told = || StopView { what: reason.words(), causes: Vec::new() };
        self.view = Some(view.or(seen).unwrap_or_else(told));
        if reason.is_about_the_equipment() {
            self.is_undecided = true;
            self.key = key;
        }
        self.ending = self.ending.max(reason.ending());
    }

    /// The run ends without a word from the bench.
    pub(super) fn abandon(&mut self) {
        self.ending = self.ending.max(Outcome::LeftUnfinished);
    }

    /// The run is taken up: what ended it then ends it no more, but what is undecided stays so.
    pub(super) fn take_up(&mut self) {
        self.ending = if self.is_undecided { Outcome::StoppedOnReading } else { Outcome::Finished };
    }

    /// Work goes on.
    pub(super) fn go_on(&mut self) {
        self.view = None;
    }

    /// The person has decided that the reading was at fault: gives back its question.
    pub(super) fn try_again(&mut self) -> Key {
        self.decide();
        self.key.take().unwrap_or_default()
    }

    /// The person has repaired something: every reading may be tried again.
    pub(super) fn repaired(&mut self) {
        self.decide();
        self.failures.clear();
        self.key = None;
    }

    fn decide(&mut self) {
        self.is_undecided = false;
        self.ending = Outcome::Finished;
        self.view = None;
    }

    /// Counts a failure of a reading.
    pub(super) fn failed(&mut self, key: &Key) {
        *self.failures.entry(key.clone()).or_default() += 1;
    }

    /// Tells whether a reading may be taken again.
    pub(super) fn may_try_again(&self, key: &Key) -> bool {
        self.failures.get(key).is_none_or(|failures| *failures < FAILURES_MAX)
    }

    /// Tells whether what stopped the run may be tried again.
    pub(super) fn may_go_back(&self) -> bool {
        self.key.as_ref().is_none_or(|key| self.may_try_again(key))
    }
}

impl StopReason {
    /// Reasons after which nothing is known of the energy in the equipment.
    pub(super) fn is_blind(&self) -> bool {
        matches!(
            self,
            Self::Interrupted { .. }
                | Self::InstrumentLost { .. }
                | Self::Tripped { .. }
                | Self::RecordFailed { .. }
                | Self::FoundOn { .. }
                | Self::ClockUpset { .. }
                | Self::FoundLive { .. }
                | Self::Resumed
        )
    }

    /// Reasons that end nothing: once the equipment is safe the run goes on.
    pub(super) fn goes_on(&self) -> bool {
        matches!(self, Self::Resumed | Self::FoundOn { .. } | Self::ClockUpset { .. })
    }

    /// Reasons that lie in the equipment or the procedure: the person decides how to go on.
    pub(super) fn is_about_the_equipment(&self) -> bool {
        matches!(
            self,
            Self::Outside
                | Self::Undecided
                | Self::Disagreement
                | Self::Seen
                | Self::Declined { .. }
                | Self::Tripped { .. }
                | Self::StillFitted { .. }
                | Self::FoundLive { .. }
        )
    }

    /// How a run ends that it stops.
    pub(super) fn ending(&self) -> Outcome {
        match self {
            Self::Outside
            | Self::Undecided
            | Self::Disagreement
            | Self::Seen
            | Self::StillFitted { .. }
            | Self::FoundLive { .. }
            | Self::Declined { .. } => Outcome::StoppedOnReading,
            Self::Halted { .. }
            | Self::Interrupted { .. }
            | Self::Unattended { .. }
            | Self::Resumed => Outcome::LeftUnfinished,
            // It goes on from here: nothing has ended yet.
            Self::FoundOn { .. } | Self::ClockUpset { .. } => Outcome::Finished,
            Self::InstrumentLost { .. } | Self::Tripped { .. } => Outcome::InstrumentLost,
            Self::RecordFailed { .. } => Outcome::CouldNotRecord,
            Self::CouldNotWorkOut { .. } | Self::UnusableFact { .. } | Self::SourceOff { .. } => {
                Outcome::CouldNotWorkOut
            }
        }
    }
}
