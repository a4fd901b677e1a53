//! A proof of dead that stands: where the procedure wants one again, a word on the plug takes the place of its readings.
//!
//! Always true: it stands only for who made it, for every point that can be reached now, and until its time is up, a source
//! comes on, a test charges, or anything casts doubt on what is known.

use super::batch::Batch;
use super::effect::Expects;
use super::era::Era;
use super::machine::Runner;
use super::task::Task;
use crate::procedure::act::Choice;
use crate::record::{Fact, Key, ProofRestedOn, ProvedAt, Refusal, span_words};

/// What is said where the plug and the leads were out, and watched.
const IN_SIGHT: &str = "in sight";
/// What is said where somebody may have put something in.
const NOT_SURE: &str = "not sure";

impl Runner {
    /// Begins the proof that a step wants: rests on the one that stands, or measures. Equipment that is or may still be fed is
    /// switched off first.
    pub(super) fn begin_proof(&mut self) {
        let tasks = if self.proof_stands() { vec![Task::StillDead] } else { self.make_safe() };
        self.progress.first(tasks);
    }

    /// Whether a proof of dead stands on which the person at the bench may rest.
    pub(super) fn proof_stands(&self) -> bool {
        let is_own = self.power.proof().is_some_and(|proof| proof.by == self.crew.person());
        let is_whole = self.power.is_proved_dead() && self.power.is_proved_at(&self.reachable());
        self.era >= Era::ProofsStand && is_own && is_whole && !self.stopping.is_on()
    }

    /// Asks where the plug and the leads have been since the proof.
    pub(super) fn still_dead(&mut self, batch: &Batch) {
        if !self.proof_stands() {
            return self.begin_proof();
        }
        let choices = vec![
            // What a blind `1` gives is the safe one.
            Choice::explained(NOT_SURE, "plugged in or out of sight, so it is proved dead again"),
            Choice::explained(IN_SIGHT, "unplugged, and I saw them all the time"),
        ];
        let (points, age_ms) = self.standing(batch);
        let (points, age) = (points.join(", "), span_words(age_ms));
        let what = format!(
            "Proved dead {age} ago: {points}. Where have the mains plug and every supply lead been since?"
        );
        let key = Key::proof(ProvedAt::Stands);
        let question = self.question(key, what, Expects::Choice(choices));
        self.ask(Task::StillDead, question);
    }

    /// Takes the word on the plug.
    pub(super) fn still_dead_answered(&mut self, batch: &mut Batch, text: &str) {
        match text.trim().to_lowercase().as_str() {
            // Its time may be up while the question stood.
            IN_SIGHT | NOT_SURE if !self.proof_stands() => {
                self.progress.answered();
                self.begin_proof();
            }
            IN_SIGHT => {
                let (points, age_ms) = self.standing(batch);
                self.progress.answered();
                batch.facts.push(Fact::ProofStands(ProofRestedOn { points, age_ms }));
            }
            NOT_SURE => {
                self.progress.answered();
                self.power.forget(batch);
                self.begin_proof();
            }
            _ => self.refuse(batch, text, Refusal::NotAChoice),
        }
    }

    /// What was measured in the proof that stands, by name, and how long ago (ms).
    fn standing(&self, batch: &Batch) -> (Vec<String>, u64) {
        let Some(proof) = self.power.proof() else { return (Vec::new(), 0) };
        let named = proof.points.iter().filter_map(|point| self.charge_point(*point));
        let points = named.map(|(name, _)| name.to_owned()).collect();
        (points, batch.now().saturating_sub(proof.made_ms))
    }
}
