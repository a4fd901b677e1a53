//! Outputs that were ordered off and are not confirmed to be: nothing goes on as if they were.

use super::machine::{Batch, Current, Runner};
use super::task::{ProofPart, Task};
use crate::record::{Energy, Fact, Key, StopReason};

/// An instrument whose outputs are not confirmed to be off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct NotOff {
    outputs: Vec<String>,
    /// It says that they are on.
    is_on: bool,
    /// The person has said since that its plug is out.
    is_unplugged: bool,
}

impl Runner {
    /// Takes note that off is not confirmed. Unless the person has unplugged the instrument, which has been silent since, the source
    /// is not off: it has to be taken away before anything else.
    pub(super) fn off_unconfirmed(
        &mut self,
        batch: &mut Batch,
        instrument: &str,
        error: &str,
        (outputs, is_on): (&[String], bool),
    ) {
        let (name, error) = (instrument.to_owned(), error.to_owned());
        batch.facts.push(Fact::NotConfirmedOff { instrument: name.clone(), error });
        let was_unplugged = self.not_off.get(instrument).is_some_and(|own| own.is_unplugged);
        let is_unplugged = was_unplugged && !is_on;
        self.not_off.insert(name, NotOff { outputs: outputs.to_vec(), is_on, is_unplugged });
        if is_unplugged {
            return;
        }
        if self.energy.is_energised() && self.stop.is_none() {
            return self
                .stop(batch, StopReason::InstrumentLost { instrument: instrument.to_owned() });
        }
        self.set_energy(batch, Energy::Unknown);
        let off = Task::Off { key: Key::switch_off(), what: None };
        let before = match self.current.take() {
            None => return,
            // Its words change with what is known.
            Some(Current { task: task @ Task::Off { .. }, .. }) => vec![task],
            Some(Current { task: Task::SafeWait { .. }, .. }) => vec![off],
            Some(Current { task: Task::Prove(_), .. }) => vec![off, Task::Prove(ProofPart::Before)],
            Some(Current { task, .. }) => vec![off, Task::Prove(ProofPart::Before), task],
        };
        self.first(before);
    }

    /// Takes note that an instrument has confirmed off after all, or at least says so. Neither is a reason to touch anything:
    /// the person still takes the source away, and the equipment is proved dead.
    pub(super) fn off_confirmed(&mut self, batch: &mut Batch, instrument: &str, by_word: bool) {
        if self.not_off.remove(instrument).is_none() {
            return;
        }
        batch.facts.push(Fact::ConfirmedOff { instrument: instrument.to_owned(), by_word });
        if let Some(Current { task: task @ Task::Off { .. }, .. }) = &self.current {
            let task = task.clone();
            self.current = None;
            self.first([task]);
        }
    }

    /// Takes the person's word that the plugs of all instruments that have not confirmed off are out.
    pub(super) fn unplugged(&mut self) {
        self.not_off.values_mut().for_each(|own| own.is_unplugged = true);
    }

    /// Which plugs have to be pulled; none where every instrument has confirmed off.
    pub(super) fn plugs_to_pull(&self) -> Option<String> {
        let plug = |name: &String| {
            let what = self.bench.as_ref().and_then(|bench| bench.instruments.get(name.as_str()));
            what.map_or_else(|| name.clone(), |own| format!("{name} ({})", *own.what))
        };
        let plugs: Vec<_> = self.still_fed().map(|(name, _)| plug(name)).collect();
        (!plugs.is_empty()).then(|| plugs.join(" and of "))
    }

    /// What has to stand above every question while an output is or may be on.
    pub(super) fn alarm(&self) -> Option<String> {
        let alarm = |(name, own): (&String, &NotOff)| {
            let outputs = own.outputs.join(", ");
            let (output, are) =
                if own.outputs.len() > 1 { ("OUTPUTS", "ARE") } else { ("OUTPUT", "IS") };
            match own.is_on {
                true => format!("{output} {outputs} of {name} {are} ON"),
                false => format!("{output} {outputs} of {name} NOT CONFIRMED OFF: treat as on"),
            }
        };
        let alarms: Vec<_> = self.still_fed().map(alarm).collect();
        (!alarms.is_empty()).then(|| alarms.join("; "))
    }

    fn still_fed(&self) -> impl Iterator<Item = (&String, &NotOff)> {
        self.not_off.iter().filter(|(_, own)| !own.is_unplugged)
    }
}
