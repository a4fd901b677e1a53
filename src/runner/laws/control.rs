//! Rules 2 and 10 on a bench with connected instruments: what they feed is guarded, what they sample decides nothing, and
//! after a trip the person does.

use super::monitor::{Coverage, Scene, holds};
use super::procedure::{CONTROLLED, LEFT_OUT};
use super::rig::RigKind;
use crate::record::{Event, Fact, Source};
use crate::runner::Effect;

/// What is left to be done after a trip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum AfterTrip {
    MakeSafe,
    Decide,
}

#[derive(Clone, Debug, Default)]
pub(super) struct ControlLaw {
    rig: RigKind,
    /// A connected output feeds the equipment.
    feeds: bool,
    trip: Option<AfterTrip>,
}

impl ControlLaw {
    pub(super) fn on(rig: RigKind) -> Self {
        Self { rig, ..Self::default() }
    }

    pub(super) fn see(&mut self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        self.outputs(scene)?;
        self.left_out(scene, coverage)?;
        samples(scene, coverage)?;
        self.guarded(scene, coverage)?;
        self.tripped(scene, coverage)
    }

    /// What comes up is what the stage names, and nothing where a person switches.
    fn outputs(&mut self, scene: &Scene<'_>) -> Result<(), String> {
        let (_, output, _) = CONTROLLED;
        for effect in scene.effects {
            match effect {
                Effect::OutputsOff => self.feeds = false,
                Effect::Energise(setting) => {
                    self.feeds = self.rig.is_connected() && setting.source == Source::BenchSupply;
                    let due: &[&str] = if self.feeds { &[output] } else { &[] };
                    holds!(
                        setting.outputs == due,
                        "rule 1: {:?} comes up for {:?}",
                        setting.outputs,
                        setting.source
                    );
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// A step for hands is put to them, or recorded as left out where a supply does it.
    fn left_out(&self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        let is_asked = scene.key() == LEFT_OUT;
        holds!(!is_asked || !self.rig.is_connected(), "rule 10: hands set what a supply has");
        let is_answered = scene.asked().is_some_and(|question| question.key == LEFT_OUT);
        for fact in scene.facts {
            match fact {
                Fact::LeftOut(key) if key == LEFT_OUT => {
                    coverage.reach("a step for hands left out");
                    let due = self.rig.is_connected();
                    holds!(due, "rule 4: `{LEFT_OUT}` is left out where hands have to do it");
                }
                Fact::Done { key, .. } if key == LEFT_OUT => {
                    let due = is_answered && !self.rig.is_connected();
                    holds!(due, "rule 4: `{LEFT_OUT}` is told as done by another");
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// While an output feeds the equipment its current is guarded, whatever is asked; off, there is nothing to guard.
    fn guarded(&self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        let Some(pending) = scene.after else { return Ok(()) };
        let question = &pending.question;
        let (_, _, point) = CONTROLLED;
        let points: Vec<_> = question.guards.iter().map(|guard| guard.point.to_string()).collect();
        let due: &[&str] = if self.feeds { &[point] } else { &[] };
        holds!(points == due, "rule 10: {points:?} guarded at `{}`", question.key);
        for guard in &question.guards {
            coverage.reach(match pending.until_ms {
                Some(_) => "guarded: a wait",
                None => "guarded: a question",
            });
            let limit = guard.bounds.high.map(|high| high.to_f64());
            // The watch is narrower than the stage.
            let due = if question.key == "drift" { 0.1 } else { 0.15 };
            let stands = limit.is_some_and(|limit| (limit - due).abs() < 1e-9);
            holds!(stands, "rule 10: guarded to {limit:?} at `{}`", question.key);
        }
        Ok(())
    }

    /// After a trip: make safe and prove dead, then the person decides, and nothing else is asked before.
    fn tripped(&mut self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        if matches!(scene.event, Event::Tripped { .. }) {
            self.trip = Some(AfterTrip::MakeSafe);
        }
        for fact in scene.facts {
            match fact {
                Fact::ProvedDead(_) if self.trip.is_some() => self.trip = Some(AfterTrip::Decide),
                Fact::Again { .. } | Fact::Repaired { .. } => self.trip = None,
                _ => {}
            }
        }
        let key = scene.key();
        let makes_safe = key.starts_with("make-safe.") || key.starts_with("dead.");
        match self.trip {
            Some(_) if key.is_empty() || makes_safe => {}
            Some(AfterTrip::MakeSafe) => {
                return Err(format!("rule 2: `{key}` is asked after a trip"));
            }
            Some(AfterTrip::Decide) => {
                coverage.reach("a decision after a trip");
                // Who stops there signs, and leaves the decision to the person who takes the run up again.
                let decides = key.starts_with("what-next") || key == "sign-off";
                holds!(decides, "rule 11: `{key}` is asked before a decision about the trip");
            }
            None => {}
        }
        Ok(())
    }
}

/// What instruments sample while a question stands is kept and judged by nobody: the question stands on.
fn samples(scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
    let Event::Sampled { traces, .. } = scene.event else { return Ok(()) };
    if !scene.is_recorded() {
        return Ok(());
    }
    let kept = scene.facts.iter().filter(|fact| matches!(fact, Fact::Watched { .. })).count();
    let others =
        scene.facts.iter().any(|fact| !matches!(fact, Fact::Watched { .. } | Fact::Energy { .. }));
    coverage.reach(format!("sampled: {}", if kept > 0 { "kept" } else { "nothing" }));
    holds!(!others, "rule 11: samples alone led to {:?}", scene.facts);
    holds!(kept == traces.len(), "rule 4: samples were lost");
    Ok(())
}
