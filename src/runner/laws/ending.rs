//! Rule 2: how a run ends only gets worse until a person decides.

use super::monitor::{Coverage, Scene, holds};
use crate::record::{Fact, Outcome, StopReason};
use crate::runner::Effect;

#[derive(Clone, Debug, Default)]
pub(super) struct EndingLaw {
    worst: Option<Outcome>,
    /// A reading stopped the run and nobody has decided about it.
    undecided: bool,
}

impl EndingLaw {
    pub(super) fn see(&mut self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        for fact in scene.facts {
            match fact {
                Fact::Stopped { reason: StopReason::Resumed, .. } => {
                    self.worst = self.undecided.then_some(Outcome::StoppedOnReading);
                }
                Fact::Stopped {
                    reason:
                        reason @ (StopReason::CouldNotWorkOut { .. } | StopReason::UnusableFact { .. }),
                    ..
                } => {
                    let words = reason.words();
                    return Err(format!("rule 1: this procedure gives all it needs, but {words}"));
                }
                Fact::Stopped { reason, .. } => {
                    let due = due(reason);
                    let is_trip = matches!(reason, StopReason::Tripped { .. });
                    self.undecided |= due == Outcome::StoppedOnReading || is_trip;
                    if !matches!(reason, StopReason::FoundOn { .. }) {
                        self.worst = self.worst.max(Some(due));
                    }
                }
                Fact::Again { .. } | Fact::Repaired { .. } => {
                    coverage.reach("decided after a stop");
                    holds!(self.undecided, "rule 11: a decision that nobody asked for");
                    *self = Self::default();
                }
                Fact::Closed { outcome, .. } => {
                    coverage.reach(format!("closed: {outcome:?}"));
                    holds!(
                        Some(*outcome) >= self.worst,
                        "rule 2: closed as {outcome:?} after {:?}",
                        self.worst
                    );
                    let told = scene.effects.contains(&Effect::Finish(*outcome));
                    holds!(told, "rule 2: the end and its entry differ");
                    holds!(
                        *outcome != Outcome::Finished || !self.undecided,
                        "rule 11: finished without a decision about the stop"
                    );
                }
                Fact::StageOpened { .. } | Fact::Reentered { .. } => {
                    holds!(
                        !self.undecided,
                        "rule 11: work goes on without a decision of the person"
                    );
                }
                _ => {}
            }
        }
        Ok(())
    }
}

fn due(reason: &StopReason) -> Outcome {
    match reason {
        StopReason::Outside
        | StopReason::Undecided
        | StopReason::Disagreement
        | StopReason::Seen
        | StopReason::StillFitted { .. }
        | StopReason::FoundLive { .. }
        | StopReason::Declined { .. } => Outcome::StoppedOnReading,
        StopReason::Halted { .. }
        | StopReason::Interrupted { .. }
        | StopReason::Unattended { .. }
        | StopReason::Resumed => Outcome::LeftUnfinished,
        StopReason::FoundOn { .. } | StopReason::ClockUpset { .. } => Outcome::Finished,
        StopReason::CouldNotWorkOut { .. }
        | StopReason::UnusableFact { .. }
        | StopReason::SourceOff { .. } => Outcome::CouldNotWorkOut,
        StopReason::InstrumentLost { .. } | StopReason::Tripped { .. } => Outcome::InstrumentLost,
        StopReason::RecordFailed { .. } => Outcome::CouldNotRecord,
    }
}
