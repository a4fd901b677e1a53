//! Rules 2, 7 and 10: make safe, proof of dead and its end, and what every question says of the energy.

use super::monitor::{Coverage, Scene, holds, is_blind};
use super::procedure::{CHARGES, DEAD_V, HANDS_IN, ITEM_MOVED, KNOWN_V, PROOF_LASTS_MS, READ_LIVE};
use crate::quantity::Reading;
use crate::record::{Energy, Event, Fact, ProofMade, Source};
use crate::runner::Effect;

/// What an onlooker can know of the energy in the equipment.
#[derive(Clone, Debug, Default)]
pub(super) struct DeadLaw {
    live: Option<Source>,
    /// Somebody said that every source is off and disconnected, and nothing has cast doubt on it.
    isolated: bool,
    /// The stored charge has had its time since then.
    waited: bool,
    /// Until when the last proof counts, and whose it is.
    proof: Option<u64>,
    prover: String,
    /// How many of the three readings of a proof stand, in order.
    readings: u8,
    /// An instrument has not confirmed off; and somebody has said since that its plug is out.
    not_off: bool,
    unplugged: bool,
    /// A stop has not been followed by a proof.
    stopped: bool,
    recording_failed: bool,
}

impl DeadLaw {
    pub(super) fn see(&mut self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        self.confirmation(scene.event);
        let is_at_question = scene.before.is_some_and(|pending| pending.until_ms.is_none());
        if matches!(scene.event, Event::Unattended { .. }) && is_at_question {
            coverage.reach("nobody there at a question");
        }
        if matches!(scene.event, Event::ClockUpset { .. }) {
            coverage.reach(if self.live.is_some() {
                "a clock upset on live equipment"
            } else {
                "a clock upset"
            });
            (self.proof, self.readings) = (None, 0);
        }
        if self.is_blinded_by(scene.event) {
            (self.live, self.isolated, self.proof, self.readings) = (None, false, None, 0);
            self.waited = false;
        }
        self.recording_failed |= matches!(scene.event, Event::RecordFailed { .. });
        let leaves = matches!(scene.event, Event::Abandoned { .. });
        if leaves && self.live.is_some() {
            self.live = None;
        }
        let is_stop = scene.stops() || leaves || matches!(scene.event, Event::RecordFailed { .. });
        if is_stop {
            coverage.reach(format!("stop: {}", stop_name(scene)));
            if self.live.is_some() {
                coverage.reach("a stop on live equipment");
            }
            self.stopped = true;
            let first = scene.effects.first();
            holds!(first == Some(&Effect::OutputsOff), "rule 2: a stop whose outputs stay on");
        }
        for fact in scene.facts {
            self.take(scene, fact, coverage)?;
        }
        if self.recording_failed {
            return Ok(());
        }
        let valid = self.is_proved(scene);
        self.stopped &= !valid;
        self.energise(scene, is_stop)?;
        self.next_question(scene, is_stop, coverage)
    }

    fn confirmation(&mut self, event: &Event) {
        match event {
            Event::OffUnconfirmed { is_on, .. } => {
                self.not_off = true;
                self.unplugged &= !is_on;
            }
            Event::OffConfirmed { .. } | Event::Resumed { .. } => {
                (self.not_off, self.unplugged) = (false, false);
            }
            _ => {}
        }
    }

    /// Nothing is known of the energy after this. An unplugged instrument has nothing to say; one that says it is on is not unplugged.
    fn is_blinded_by(&self, event: &Event) -> bool {
        let is_doubt = matches!(event, Event::OffUnconfirmed { .. }) && !self.unplugged;
        // A clock that is set takes the proof from equipment that is known to be off, and all that is known of any other.
        let is_set = matches!(event, Event::ClockUpset { .. }) && !self.isolated;
        is_doubt || is_set || is_blind(event)
    }

    fn is_proved(&self, scene: &Scene<'_>) -> bool {
        self.isolated && self.proof.is_some_and(|until| scene.at.elapsed_ms < until)
    }

    fn take(
        &mut self,
        scene: &Scene<'_>,
        fact: &Fact,
        coverage: &mut Coverage,
    ) -> Result<(), String> {
        match fact {
            Fact::Done { key, .. } if key == "make-safe.off" || key.as_str().ends_with("-off") => {
                (self.live, self.isolated, self.proof, self.readings) = (None, true, None, 0);
                self.waited = false;
                self.unplugged = self.not_off;
                let off = scene.effects.first() == Some(&Effect::OutputsOff);
                holds!(off, "rule 2: isolated by word while an output may be on");
            }
            Fact::Waited { key, .. } if key == "make-safe.wait" => self.waited = true,
            Fact::Judged { key, reading, .. } if key.as_str().starts_with("dead.") => {
                self.readings = standing(self.readings, key.as_str(), reading);
            }
            Fact::Judged { key, .. } if READ_LIVE.contains(&key.as_str()) => {
                coverage.reach("a reading of an energised stage");
                holds!(scene.was_live(), "rule 1: {key} was read with its source off");
            }
            Fact::Fitted { item } | Fact::Removed { item } => {
                let is_done = scene.facts.iter().any(|fact| match fact {
                    Fact::Done { key, .. } => ITEM_MOVED.contains(&key.as_str()),
                    _ => false,
                });
                holds!(is_done, "rule 4: {item} went in or out and nobody did it");
            }
            Fact::StillCharged { .. } => {
                (self.proof, self.readings, self.waited) = (None, 0, false);
            }
            Fact::Energy { state: Energy::Energised { .. } } => {
                let comes_on = scene.energises().is_some();
                holds!(comes_on, "rule 1: what feeds the equipment rose by itself");
            }
            Fact::Energy { state: Energy::Unknown } if is_on_plug(scene.event, "not sure") => {
                coverage.reach("a proof in doubt");
                (self.isolated, self.waited, self.proof) = (false, false, None);
                let asks = scene.asks().is_none_or(|question| question.key == "make-safe.off");
                holds!(asks, "rule 7: a proof is in doubt, and switching off is not asked first");
            }
            // The runner may think less of a proof than the rule does: one that nobody was allowed to make.
            Fact::Energy { state: Energy::Isolated } if self.is_proved(scene) => self.proof = None,
            Fact::ProvedDead(ProofMade { lasts_ms, .. }) => {
                coverage.reach("proved dead");
                holds!(self.readings == 3, "rule 2: proved dead without three good readings");
                holds!(self.isolated, "rule 2: proved dead with a source that may be connected");
                holds!(*lasts_ms == PROOF_LASTS_MS, "rule 7: a proof lasts too long");
                self.proof = Some(scene.at.elapsed_ms + lasts_ms);
                self.readings = 0;
                scene.person().clone_into(&mut self.prover);
            }
            Fact::ProofStands(_) => {
                coverage.reach("a proof that stands");
                let is_own = self.prover == scene.person();
                holds!(self.is_proved(scene), "rule 7: a proof is rested on that does not stand");
                holds!(is_own, "rule 7: a proof of {} is rested on by another", self.prover);
                holds!(
                    is_on_plug(scene.event, "in sight"),
                    "rule 7: a proof is rested on and nobody has had the plug in sight"
                );
            }
            Fact::Closed { safe, energy, .. } => {
                coverage.reach(if *safe { "closed safe" } else { "closed not safe" });
                let proved = self.is_proved(scene);
                holds!(*safe == proved, "rule 2: closed as safe = {safe}, but proved = {proved}");
                holds!(
                    *safe == (*energy == Energy::ProvedDead),
                    "rule 2: safe and energy tell different things at the close"
                );
            }
            _ => {}
        }
        Ok(())
    }

    fn energise(&mut self, scene: &Scene<'_>, is_stop: bool) -> Result<(), String> {
        let Some(source) = scene.energises() else { return Ok(()) };
        holds!(!is_stop, "rule 2: a stop that energises");
        let stays = self.live == Some(source);
        holds!(!self.stopped, "rule 2: energised after a stop without a proof of dead");
        holds!(stays || self.is_proved(scene), "rule 7: energised without a valid proof of dead");
        let is_clear =
            matches!(scene.event, Event::Entered { key, .. } if key.as_str().ends_with(".clear"));
        holds!(stays || is_clear, "rule 10: came on without the word that all is clear");
        (self.live, self.isolated, self.proof, self.readings) = (Some(source), false, None, 0);
        Ok(())
    }

    fn next_question(
        &self,
        scene: &Scene<'_>,
        is_stop: bool,
        coverage: &mut Coverage,
    ) -> Result<(), String> {
        let Some(question) = scene.asks() else { return Ok(()) };
        let key = question.key.as_str();
        coverage.reach(format!("asked: {key}"));
        let is_mains = self.live.is_some_and(|source| source.is_mains());
        holds!(
            question.presence.is_some() == (is_mains && !self.stopped),
            "rule 10: `{key}` and whether somebody is there: {:?}",
            question.presence
        );
        let proved = self.is_proved(scene);
        let is_alarmed = question.alarm.is_some();
        holds!(
            is_alarmed == (self.not_off && !self.unplugged),
            "rule 10: `{key}` hides an output that is on"
        );
        if is_stop && !proved {
            let makes_safe = key.starts_with("make-safe.") || key.starts_with("dead.");
            holds!(makes_safe, "rule 2: `{key}` is asked after a stop, ahead of making safe");
        }
        if self.is_blinded_by(scene.event) {
            if matches!(scene.event, Event::OffUnconfirmed { .. }) {
                coverage.reach("off is not confirmed");
            }
            holds!(
                key == "make-safe.off",
                "rule 7: `{key}` is the first question of {:?}",
                scene.event
            );
        }
        let early = key.starts_with("dead.") && !self.waited;
        holds!(!early, "rule 2: `{key}` is asked before the stored charge has had its time");
        if key == CHARGES && self.proof.is_some() {
            return Err("rule 7: a test charges equipment whose proof of dead stands".to_owned());
        }
        if HANDS_IN.contains(&key) && self.live.is_none() {
            holds!(proved, "rule 7: hands in at `{key}` without a valid proof of dead");
        }
        if scene.before.is_some_and(|_| self.proof.is_some() && !proved && self.isolated) {
            coverage.reach("a proof expired by time");
        }
        let told = match (&question.energy, self.live) {
            (Energy::Energised { source, .. }, Some(live)) => *source == live,
            (Energy::ProvedDead, None) => proved,
            (Energy::Isolated, None) => self.isolated,
            (Energy::Unknown, None) => true,
            _ => false,
        };
        holds!(
            told,
            "rule 10: `{key}` says {:?}, but live = {:?}, isolated = {}, proved = {proved}",
            question.energy,
            self.live,
            self.isolated
        );
        Ok(())
    }
}

/// Whether this was said of the plug where a proof may stand.
fn is_on_plug(event: &Event, said: &str) -> bool {
    matches!(event, Event::Entered { key, text, .. } if key == "dead.stands" && text == said)
}

/// How many readings of a proof stand after one more, judged without the runner's own windows.
fn standing(before: u8, key: &str, reading: &Reading) -> u8 {
    let Reading::Number(quantity) = reading else { return 0 };
    let volts = quantity.to_f64().abs();
    let known = (KNOWN_V.0..=KNOWN_V.1).contains(&volts);
    match (before, key) {
        (_, "dead.before") if known => 1,
        (1, "dead.plus") if volts <= DEAD_V => 2,
        (2, "dead.after") if known => 3,
        _ => 0,
    }
}

fn stop_name(scene: &Scene<'_>) -> String {
    let reason = scene.facts.iter().find_map(|fact| match fact {
        Fact::Stopped { reason, .. } => Some(format!("{reason:?}")),
        _ => None,
    });
    let name = reason.unwrap_or_else(|| format!("{:?}", scene.event));
    name.split([' ', '{', '(']).next().unwrap_or_default().to_owned()
}
