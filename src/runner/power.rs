//! What is known of the energy in the equipment. Nothing outside this file changes it.
//!
//! Always true: a proof of dead stands only while the state is proved dead, and ends at its time or with a test that charges.

use std::collections::BTreeMap;

use super::batch::Batch;
use crate::record::{Ceiling, Energy, Fact, Source};

/// The energy state, the proof it rests on, and the outputs that may feed the equipment against orders.
#[derive(Clone, Debug)]
pub(super) struct Power {
    state: Energy,
    proof: Option<ProofOfDead>,
    /// A test has charged what it was on, and nothing has been proved dead or come on since.
    is_charged: bool,
    /// The instruments whose outputs were ordered off and are not confirmed to be, by name.
    not_off: BTreeMap<String, OutputsNotOff>,
}

/// A proof of dead that stands. Times are of the run (elapsed ms).
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct ProofOfDead {
    pub(super) made_ms: u64,
    /// Until when it is believed.
    pub(super) until_ms: u64,
    /// The charge points that were measured in it, by their numbers.
    pub(super) points: Vec<usize>,
    /// Who measured them.
    pub(super) by: String,
}

/// An instrument whose outputs are not confirmed to be off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct OutputsNotOff {
    pub(super) outputs: Vec<String>,
    /// It says that they are on.
    pub(super) is_on: bool,
    /// The person has said since that its plug is out.
    is_unplugged: bool,
}

impl Power {
    /// Nothing is known before a run begins.
    pub(super) fn unknown() -> Self {
        Self { state: Energy::Unknown, proof: None, is_charged: false, not_off: BTreeMap::new() }
    }

    pub(super) fn state(&self) -> &Energy {
        &self.state
    }

    pub(super) fn is_live(&self) -> bool {
        self.state.is_energised()
    }

    pub(super) fn is_proved_dead(&self) -> bool {
        self.state == Energy::ProvedDead
    }

    /// Tells whether the source is known to be off and disconnected, proved dead or not.
    pub(super) fn is_isolated(&self) -> bool {
        matches!(self.state, Energy::Isolated | Energy::ProvedDead)
    }

    /// The source that feeds the equipment now.
    pub(super) fn source(&self) -> Option<Source> {
        match self.state {
            Energy::Energised { source, .. } => Some(source),
            _ => None,
        }
    }

    /// The source comes on, up to this ceiling.
    pub(super) fn energise(&mut self, batch: &mut Batch, source: Source, ceiling: Option<Ceiling>) {
        self.become_state(batch, Energy::Energised { source, ceiling });
    }

    /// The source is off and disconnected. A proof that stood is gone: what ends it says that there may be charge again.
    pub(super) fn isolate(&mut self, batch: &mut Batch) {
        self.become_state(batch, Energy::Isolated);
    }

    /// Nothing is known any more.
    pub(super) fn forget(&mut self, batch: &mut Batch) {
        self.become_state(batch, Energy::Unknown);
    }

    /// Whether these points were measured in the last proof of dead.
    pub(super) fn is_proved_at(&self, points: &[usize]) -> bool {
        let proved = |point| self.proof.as_ref().is_some_and(|proof| proof.points.contains(point));
        points.iter().all(proved)
    }

    /// The proof of dead that stands.
    pub(super) fn proof(&self) -> Option<&ProofOfDead> {
        self.proof.as_ref()
    }

    /// Every point that can be reached was measured dead, with a meter proved before and after.
    pub(super) fn prove_dead(&mut self, batch: &mut Batch, proof: ProofOfDead) {
        self.become_state(batch, Energy::ProvedDead);
        self.proof = Some(proof);
    }

    /// A test charges what was proved dead.
    pub(super) fn charge(&mut self, batch: &mut Batch) {
        if self.is_proved_dead() {
            self.become_state(batch, Energy::Isolated);
            self.is_charged = true;
        }
    }

    /// Whether a test has charged what it was on, and no proof has followed.
    pub(super) fn is_charged(&self) -> bool {
        self.is_charged
    }

    /// Ends a proof whose time is up.
    pub(super) fn expire(&mut self, batch: &mut Batch) {
        if self.proof.as_ref().is_some_and(|proof| batch.now() >= proof.until_ms) {
            self.isolate(batch);
        }
    }

    fn become_state(&mut self, batch: &mut Batch, state: Energy) {
        self.proof = None;
        self.is_charged = false;
        if self.state != state {
            self.state = state.clone();
            batch.facts.push(Fact::Energy { state });
        }
    }

    /// Off is not confirmed. Tells whether the instrument is still taken to be unplugged: by the person's word, and silent
    /// since.
    pub(super) fn off_unconfirmed(&mut self, name: &str, outputs: &[String], is_on: bool) -> bool {
        let was_unplugged = self.not_off.get(name).is_some_and(|not_off| not_off.is_unplugged);
        let is_unplugged = was_unplugged && !is_on;
        let not_off = OutputsNotOff { outputs: outputs.to_vec(), is_on, is_unplugged };
        self.not_off.insert(name.to_owned(), not_off);
        is_unplugged
    }

    /// Off is confirmed after all, or at least said. Tells whether it was in doubt.
    pub(super) fn off_confirmed(&mut self, name: &str) -> bool {
        self.not_off.remove(name).is_some()
    }

    /// The person says that the plugs of all instruments that have not confirmed off are out.
    pub(super) fn unplugged(&mut self) {
        self.not_off.values_mut().for_each(|not_off| not_off.is_unplugged = true);
    }

    /// Every instrument was reached again: what one of them feeds now is found out.
    pub(super) fn reached_again(&mut self) {
        self.not_off.clear();
    }

    /// The instruments that may feed the equipment against orders.
    pub(super) fn still_fed(&self) -> impl Iterator<Item = (&String, &OutputsNotOff)> {
        self.not_off.iter().filter(|(_, not_off)| !not_off.is_unplugged)
    }
}
