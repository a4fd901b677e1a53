//! Rule 13: with a people file, nobody does at the bench what the roles do not let them do, and making safe is free to all.

use super::answers::is_about_people;
use super::monitor::{Coverage, Scene, holds};
use super::procedure::HANDS_IN;
use super::rig::RigKind;
use crate::record::{Event, Fact};

/// The answers that somebody gives in a stage that tests safety.
const TESTED: [&str; 5] = ["cover", "rail-full", "photo", "tidy", "as-left"];

/// What an onlooker who knows the staff by name remembers.
#[derive(Clone, Debug, Default)]
pub(super) struct AuthorityLaw {
    is_staffed: bool,
    at_bench: String,
    /// Somebody who may supervise was named, and it still counts.
    is_supervised: bool,
    /// The run has stopped, and work has not been taken up again.
    is_stopped: bool,
    /// The last proof was made after a stop by somebody who may not make one alone.
    lone_proof: bool,
    recording_failed: bool,
}

impl AuthorityLaw {
    pub(super) fn on(rig: RigKind) -> Self {
        Self { is_staffed: rig == RigKind::Staffed, ..Self::default() }
    }

    /// Robin does everything alone, Kim learns, Sasha learns to prove dead and no more.
    fn may(&self, is_proof: bool) -> bool {
        match self.at_bench.split(' ').next() {
            Some("Robin") => true,
            Some("Kim") => self.is_supervised,
            Some("Sasha") => self.is_supervised && is_proof,
            _ => false,
        }
    }

    pub(super) fn see(&mut self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        self.recording_failed |= matches!(scene.event, Event::RecordFailed { .. });
        if !self.is_staffed || self.recording_failed {
            return Ok(());
        }
        match scene.event {
            Event::Started(opening) => self.at_bench.clone_from(&opening.operator),
            Event::Resumed { by, .. } => self.at_bench.clone_from(by),
            _ => {}
        }
        // An answer is that of the person who was at the bench when it was given.
        self.tested(scene, coverage)?;
        for fact in scene.facts {
            self.take(fact, coverage)?;
        }
        if scene.energises().is_some() {
            coverage.reach(format!("let on by {}", self.at_bench));
            holds!(self.may(false), "rule 13: {} let the source on", self.at_bench);
            holds!(
                !self.lone_proof,
                "rule 13: energised on a proof that nobody was allowed to make"
            );
        }
        self.next_question(scene, coverage)
    }

    fn take(&mut self, fact: &Fact, coverage: &mut Coverage) -> Result<(), String> {
        match fact {
            Fact::StageOpened { .. } => (self.is_supervised, self.is_stopped) = (false, false),
            Fact::Again { .. } | Fact::Repaired { .. } | Fact::Reentered { .. } => {
                self.is_stopped = false;
            }
            Fact::Stopped { .. } => (self.is_supervised, self.is_stopped) = (false, true),
            Fact::TookOver { to, .. } => {
                self.at_bench.clone_from(to);
                self.is_supervised = false;
            }
            Fact::Supervised { by, duty, .. } => {
                coverage.reach(format!("supervised: {duty:?}"));
                let is_other = *by != self.at_bench;
                let may = by.starts_with("Sam") || by.starts_with("Robin");
                holds!(may && is_other, "rule 13: {by} supervises {}", self.at_bench);
                self.is_supervised = true;
            }
            Fact::Released { by, .. } => {
                holds!(by == "Sam Second-Test", "rule 13: {by} released a hold");
            }
            Fact::ProvedDead(_) => {
                let may = self.may(true);
                holds!(self.is_stopped || may, "rule 13: {} proved dead", self.at_bench);
                self.lone_proof = !may;
                if self.lone_proof {
                    coverage.reach("made safe alone by somebody who may not prove dead alone");
                }
            }
            _ => {}
        }
        Ok(())
    }

    fn tested(&self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        let taken = scene.facts.iter().find_map(|fact| match fact {
            Fact::Judged { key, .. } | Fact::Done { key, .. } => Some(key.as_str()),
            _ => None,
        });
        if let Some(key) = taken.filter(|key| TESTED.contains(key)) {
            coverage.reach("a step of a safety test");
            holds!(self.may(false), "rule 13: {} took `{key}`", self.at_bench);
        }
        Ok(())
    }

    fn next_question(&self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        let Some(question) = scene.asks() else { return Ok(()) };
        let key = question.key.as_str();
        holds!(!(self.is_stopped && is_about_people(key)), "rule 13: `{key}` holds up making safe");
        if key.ends_with(".takes-over") {
            coverage.reach("sent away from the bench");
        }
        if HANDS_IN.contains(&key) && !question.energy.is_energised() {
            holds!(!self.lone_proof, "rule 13: hands in at `{key}` on a proof made alone");
        }
        Ok(())
    }
}
