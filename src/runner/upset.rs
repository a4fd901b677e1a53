//! What a sleep of the machine, and a wall clock that was set, make of what is known.

use super::batch::Batch;
use super::machine::Runner;
use super::task::{ProofPart, Task};
use crate::record::{Fact, StopReason};

impl Runner {
    /// Takes up that the machine slept or that its clock was set. What was believed for a time is believed no longer.
    ///
    /// Nobody looked on while it slept, and on live equipment every limit of time is in doubt: both stop the run, with the
    /// energy state unknown. A clock that is set while nothing is live takes only the proof of dead.
    pub(super) fn clock_upset(&mut self, batch: &mut Batch, slept_ms: u64, set_ms: i64) {
        if slept_ms > 0 || !self.power.is_isolated() {
            return self.stop(batch, StopReason::ClockUpset { slept_ms, set_ms });
        }
        batch.facts.push(Fact::ClockSet { set_ms });
        self.power.isolate(batch);
        // A proof that is being made begins with the meter again.
        let first = Task::Prove(ProofPart::Before);
        let is_proof = |task: &Task| matches!(task, Task::Prove(_) | Task::Proved);
        for task in self.progress.tasks_mut().filter(|task| is_proof(task)) {
            task.clone_from(&first);
        }
        if self.progress.take_if(|current| is_proof(&current.task)).is_some() {
            self.progress.first([first]);
        }
    }
}
