//! Rules 1 and 11: no rung before the windows below it held, and a word before the first mains.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::monitor::{Coverage, Scene, holds};
use super::procedure::{MOVED, RUNGS};
use super::rig::RigKind;
use crate::record::{Ceiling, Event, Fact, Outcome, Source};
use crate::runner::{Advice, Effect};
use crate::window::Verdict;

/// How long results stand at the most: neither the procedure of the walks nor the bench says otherwise.
const STAND_MS: u64 = 10 * 3_600_000;

#[derive(Clone, Debug, Default)]
pub(super) struct RungsLaw {
    rig: RigKind,
    /// When each key was last judged.
    taken_ms: Rc<BTreeMap<String, u64>>,
    /// Who is at the bench.
    person: String,
    /// The last verdict under each key since the last repair.
    held: Rc<BTreeMap<String, bool>>,
    stage: usize,
    source: Option<Source>,
    /// The ceiling that the stage opened with.
    ceiling: Option<Ceiling>,
    advised: bool,
}

impl RungsLaw {
    pub(super) fn on(rig: RigKind) -> Self {
        Self { rig, ..Self::default() }
    }

    pub(super) fn see(&mut self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        self.taken_up(scene, coverage);
        for fact in scene.facts {
            self.take(fact, coverage)?;
            if let Fact::Judged { key, .. } | Fact::Seen { key, .. } = fact {
                Rc::make_mut(&mut self.taken_ms).insert(key.to_string(), scene.at.elapsed_ms);
            }
        }
        self.undo(scene, coverage)?;
        for effect in scene.effects {
            match effect {
                Effect::Advise(Advice::FirstMains) => self.advised = true,
                Effect::Energise(setting) => {
                    coverage.reach(format!("energised: {:?}", setting.source));
                    holds!(
                        Some(setting.source) == self.source,
                        "rule 1: {:?} is not the source of the stage that is open",
                        setting.source
                    );
                    holds!(
                        setting.ceiling == self.ceiling,
                        "rule 1: {:?} is not the ceiling that the stage opened with",
                        setting.ceiling
                    );
                    self.all_below(self.stage)?;
                    if !scene.was_live() {
                        self.none_too_old(scene.at.elapsed_ms)?;
                    }
                    self.released(self.stage)?;
                    let is_mains = setting.source >= Source::MainsThroughLamp;
                    holds!(
                        !is_mains || self.advised,
                        "rule 11: mains without the advice before it"
                    );
                }
                Effect::Finish(Outcome::Finished) => {
                    coverage.reach("finished");
                    self.all_below(RUNGS.len())?;
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// Someone else has not seen what became of the equipment: the lamp's word counts no longer. Where hands were in, none does.
    fn taken_up(&mut self, scene: &Scene<'_>, coverage: &mut Coverage) {
        match scene.event {
            Event::Started(opening) => self.person.clone_from(&opening.operator),
            Event::Resumed { by, .. } => {
                self.advised = false;
                if *by != self.person {
                    coverage.reach("taken up by another");
                    Rc::make_mut(&mut self.held).remove("glow");
                }
                self.person.clone_from(by);
            }
            Event::Entered { key, text, .. } if key == "left.sight" => {
                coverage.reach(format!("left: {text}"));
                if text == "hands in" && !scene.is_refused() {
                    self.held = Rc::default();
                }
            }
            _ => {}
        }
    }

    /// No source comes on past a result that is older than results may be.
    fn none_too_old(&self, now_ms: u64) -> Result<(), String> {
        for key in RUNGS.iter().take(self.stage).flat_map(|rung| rung.windows(self.rig)) {
            let taken_ms = self.taken_ms.get(key).copied().unwrap_or_default();
            holds!(
                now_ms - taken_ms <= STAND_MS,
                "rule 18: energised past {key}, which is {} ms old",
                now_ms - taken_ms
            );
        }
        Ok(())
    }

    /// A moved control undoes what was measured before it, and the record says so.
    ///
    /// Its own action is always the event itself, so nothing else is measured in the same scene.
    fn undo(&mut self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        let (control, window) = MOVED;
        let is_done = |fact: &Fact| matches!(fact, Fact::Done { key, .. } if key == control);
        if !scene.facts.iter().any(is_done) {
            return Ok(());
        }
        let told = scene.facts.iter().any(|fact| match fact {
            Fact::Stale { steps, .. } => steps.iter().any(|step| step == window),
            _ => false,
        });
        let stood = Rc::make_mut(&mut self.held).remove(window).is_some();
        coverage.reach("a reading undone");
        holds!(told == stood, "rule 1: {window} undone: {stood}, and told: {told}");
        Ok(())
    }

    fn take(&mut self, fact: &Fact, coverage: &mut Coverage) -> Result<(), String> {
        match fact {
            Fact::Judged { key, verdict, .. } => {
                Rc::make_mut(&mut self.held).insert(key.to_string(), *verdict == Verdict::Inside);
            }
            Fact::Seen { key, good, .. } => {
                Rc::make_mut(&mut self.held).insert(key.to_string(), *good);
            }
            Fact::Repaired { .. } => {
                coverage.reach("repaired");
                self.held = Rc::default();
            }
            Fact::StageOpened { stage, source, ceiling, .. } => {
                self.ceiling.clone_from(ceiling);
                coverage.reach(format!("stage: {stage}"));
                let known = RUNGS.iter().position(|rung| rung.stage == stage);
                self.stage = known.ok_or_else(|| format!("rule 1: no stage {stage}"))?;
                self.source = Some(*source);
                self.all_below(self.stage)?;
                Rc::make_mut(&mut self.held).remove(&format!("{stage}.hold"));
            }
            Fact::StageHeld { .. } => {
                self.all_below(self.stage + 1)?;
                self.released(self.stage)?;
            }
            Fact::TookOver { to, .. } => self.person.clone_from(to),
            Fact::Expired { steps, why } => {
                let name = format!("{why:?}");
                let name = name.split(' ').next().unwrap_or_default();
                coverage.reach(format!("expired: {name}"));
                let is_gone =
                    |key: &String| steps.iter().any(|step| key.split('.').next() == Some(step));
                Rc::make_mut(&mut self.held).retain(|key, _| !is_gone(key));
            }
            Fact::Released { key, .. } => {
                Rc::make_mut(&mut self.held).insert(key.to_string(), true);
            }
            _ => {}
        }
        Ok(())
    }

    /// The hold of a stage was released since the stage was opened.
    fn released(&self, stage: usize) -> Result<(), String> {
        let hold = RUNGS.get(stage).and_then(|rung| rung.hold);
        let released = hold.is_none_or(|hold| self.held.contains_key(hold));
        holds!(released, "rule 5: {hold:?} was passed by without a release");
        Ok(())
    }

    fn all_below(&self, stage: usize) -> Result<(), String> {
        for rung in RUNGS.iter().take(stage) {
            for key in rung.windows(self.rig) {
                holds!(
                    self.held.get(key) == Some(&true),
                    "rule 1: {key} of stage {} did not hold since the last repair",
                    rung.stage
                );
            }
        }
        Ok(())
    }
}
