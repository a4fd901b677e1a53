//! Outputs that were ordered off and are not confirmed to be: nothing goes on as if they were.

use super::batch::Batch;
use super::machine::Runner;
use super::power::OutputsNotOff;
use super::progress::Current;
use super::task::{ProofPart, Task};
use crate::record::{Fact, Key, StopReason};

impl Runner {
    /// Takes note that off is not confirmed. Unless the person has unplugged the instrument, which has been silent since, the source
    /// is not off: it has to be taken away before anything else.
    pub(super) fn off_unconfirmed(
        &mut self,
        batch: &mut Batch,
        instrument: &str,
        error: &str,
        outputs: &[String],
        is_on: bool,
    ) {
        let (name, error) = (instrument.to_owned(), error.to_owned());
        batch.facts.push(Fact::NotConfirmedOff { instrument: name, error });
        if self.power.off_unconfirmed(instrument, outputs, is_on) {
            return;
        }
        if self.power.is_live() && !self.stopping.is_on() {
            return self
                .stop(batch, StopReason::InstrumentLost { instrument: instrument.to_owned() });
        }
        self.power.forget(batch);
        let off = Task::Off { key: Key::switch_off(), what: None };
        let before = match self.progress.take() {
            None => return,
            // Its words change with what is known.
            Some(Current { task: task @ Task::Off { .. }, .. }) => vec![task],
            Some(Current { task: Task::SafeWait { .. }, .. }) => vec![off],
            Some(Current { task: Task::Prove(_) | Task::StillDead, .. }) => {
                vec![off, Task::Prove(ProofPart::Before)]
            }
            Some(Current { task, .. }) => vec![off, Task::Prove(ProofPart::Before), task],
        };
        self.progress.first(before);
    }

    /// Takes note that an instrument has confirmed off after all, or at least says so. Neither is a reason to touch anything:
    /// the person still takes the source away, and the equipment is proved dead.
    pub(super) fn off_confirmed(&mut self, batch: &mut Batch, instrument: &str, by_word: bool) {
        if !self.power.off_confirmed(instrument) {
            return;
        }
        batch.facts.push(Fact::ConfirmedOff { instrument: instrument.to_owned(), by_word });
        if let Some(Current { task: task @ Task::Off { .. }, .. }) = self.progress.current() {
            let task = task.clone();
            self.progress.answered();
            self.progress.first([task]);
        }
    }

    /// Which plugs have to be pulled; none where every instrument has confirmed off.
    pub(super) fn plugs_to_pull(&self) -> Option<String> {
        let plug = |name: &String| {
            let what = self.bench.as_ref().and_then(|bench| bench.instruments.get(name.as_str()));
            what.map_or_else(|| name.clone(), |instrument| format!("{name} ({})", *instrument.what))
        };
        let plugs: Vec<_> = self.power.still_fed().map(|(name, _)| plug(name)).collect();
        (!plugs.is_empty()).then(|| plugs.join(" and of "))
    }

    /// What has to stand above every question while an output is or may be on.
    pub(super) fn alarm(&self) -> Option<String> {
        let alarm = |(name, not_off): (&String, &OutputsNotOff)| {
            let outputs = not_off.outputs.join(", ");
            let (output, are) =
                if not_off.outputs.len() > 1 { ("OUTPUTS", "ARE") } else { ("OUTPUT", "IS") };
            match not_off.is_on {
                true => format!("{output} {outputs} of {name} {are} ON"),
                false => format!("{output} {outputs} of {name} NOT CONFIRMED OFF: treat as on"),
            }
        };
        let alarms: Vec<_> = self.power.still_fed().map(alarm).collect();
        (!alarms.is_empty()).then(|| alarms.join("; "))
    }
}
