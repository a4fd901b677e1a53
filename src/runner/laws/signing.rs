//! Where a shop has a file of keys: nothing that binds a person counts without that person's signature, and nothing that
//! makes safe wants one.

use super::monitor::{Coverage, Scene, holds};
use super::rig::RigKind;
use crate::record::{Event, Fact, Meaning, Outcome, Refusal};

#[derive(Clone, Copy, Debug, Default)]
pub(super) struct SigningLaw {
    signs: bool,
}

impl SigningLaw {
    pub(super) fn on(rig: RigKind) -> Self {
        Self { signs: rig == RigKind::Signed }
    }

    pub(super) fn see(self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        if let Some(question) = scene.asks() {
            let key = question.key.as_str();
            let is_safety = ["make-safe.", "dead."].iter().any(|start| key.starts_with(start));
            let is_wanted = question.sign.is_some();
            holds!(!(is_safety && is_wanted), "making safe waits for a signature at {key}");
            holds!(self.signs || !is_wanted, "a signature is wanted at {key}, and nobody has keys");
            if is_wanted {
                coverage.reach(format!("signature wanted: {:?}", question.sign));
            }
        }
        if !self.signs {
            return Ok(());
        }
        for fact in scene.facts {
            for (meaning, name) in due(fact, scene) {
                let mut signatures = scene.event.signatures();
                let is_there = signatures
                    .any(|signature| signature.meaning == meaning && signature.name == name);
                holds!(is_there, "{fact:?} without the signature of {name}");
                coverage.reach(format!("signed: {meaning:?}"));
            }
            if let Fact::Refused { reason, .. } = fact
                && matches!(reason, Refusal::Unsigned { .. })
            {
                coverage.reach("unsigned refused");
            }
            let is_closed = matches!(fact, Fact::Closed { .. });
            if is_closed && scene.event.signatures().next().is_none() {
                coverage.reach("closed unsigned");
            }
        }
        Ok(())
    }
}

/// Whose signatures a fact takes.
fn due(fact: &Fact, scene: &Scene<'_>) -> Vec<(Meaning, String)> {
    let at_bench = scene.asked().map(|question| question.person.clone()).unwrap_or_default();
    match fact {
        Fact::Released { by, .. } => vec![(Meaning::Released, by.clone())],
        Fact::Agreed { by, .. } => vec![(Meaning::Verified, by.clone())],
        Fact::VerifierNamed { by, sent: true, .. } => vec![(Meaning::Called, by.clone())],
        // An instrument can't sign, and a stop waits for nobody.
        Fact::Verified { by, .. }
            if matches!(scene.event, Event::Entered { .. }) && !scene.stops() =>
        {
            vec![(Meaning::Verified, by.clone())]
        }
        Fact::TookOver { from, to } => {
            vec![(Meaning::HandedOver, from.clone()), (Meaning::TookOver, to.clone())]
        }
        Fact::Closed { outcome: Outcome::Finished, .. } => vec![(Meaning::Performed, at_bench)],
        // A person said how it ends; everything else ends it without one.
        Fact::Closed { .. } if is_decided(scene) => vec![(Meaning::Performed, at_bench)],
        _ => Vec::new(),
    }
}

/// Tells whether the run is closed by an answer to a question that does not make safe.
fn is_decided(scene: &Scene<'_>) -> bool {
    let key = scene.asked().map(|question| question.key.as_str()).unwrap_or_default();
    let is_safety = ["make-safe.", "dead."].iter().any(|start| key.starts_with(start));
    matches!(scene.event, Event::Entered { .. }) && !is_safety
}
