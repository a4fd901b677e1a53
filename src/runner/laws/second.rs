//! Rule 5 for those who verify: the first value is nowhere before the second is in, nothing is switched before two agreed,
//! and nobody is their own second person.

use std::collections::BTreeSet;
use std::rc::Rc;

use super::monitor::{Coverage, Scene, holds};
use super::procedure::{AGREED, READ_TWICE};
use crate::record::{Event, Fact};
use crate::runner::{Effect, Expects, Turn};

#[derive(Clone, Debug, Default)]
pub(super) struct SecondPersonLaw {
    /// The answer to a first reading whose second is due, and who was at the bench.
    first: Option<Rc<(String, String)>>,
    /// The acts that two people agreed on and that are not done.
    agreed: Rc<BTreeSet<String>>,
    at_bench: Rc<String>,
}

impl SecondPersonLaw {
    pub(super) fn see(&mut self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        let came = match scene.event {
            Event::Started(opening) => Some(&opening.operator),
            Event::Resumed { by, .. } => Some(by),
            _ => None,
        };
        if let Some(name) = came {
            self.at_bench = Rc::new(name.clone());
        }
        for fact in scene.facts {
            self.take(scene, fact, coverage)?;
        }
        if scene.stops()
            || matches!(scene.event, Event::RecordFailed { .. } | Event::Abandoned { .. })
        {
            (self.first, self.agreed) = (None, Rc::default());
        }
        self.hidden(scene, coverage)?;
        self.agreed_before(scene)
    }

    fn take(
        &mut self,
        scene: &Scene<'_>,
        fact: &Fact,
        coverage: &mut Coverage,
    ) -> Result<(), String> {
        match fact {
            Fact::TookOver { to, .. } => {
                let is_done = self.agreed.is_empty();
                holds!(is_done, "rule 5: {to} takes over what two others have agreed on");
                self.at_bench = Rc::new(to.clone());
            }
            Fact::VerificationDue { key } => {
                holds!(READ_TWICE.contains(&key.as_str()), "rule 5: {key} is read by one");
                let given = match scene.event {
                    Event::Entered { text, .. } | Event::Measured { text, .. } => text.clone(),
                    other => return Err(format!("rule 5: {other:?} is no first reading")),
                };
                self.first = Some(Rc::new((given, self.at_bench.to_string())));
            }
            Fact::Verified { by, taken_by, agreed, .. } => {
                coverage.reach(if *agreed { "two readings agree" } else { "two disagree" });
                let first = self.first.take();
                let taker = first.as_ref().map(|first| first.1.as_str());
                holds!(taker == Some(taken_by), "rule 5: {taken_by} took no first reading");
                holds!(by != taken_by, "rule 5: {by} verified their own reading");
                holds!(*by != *self.at_bench, "rule 5: {by} is at the bench and verified");
                holds!(*agreed || scene.stops(), "rule 5: a disagreement that does not stop");
            }
            Fact::Agreed { key, by, person, .. } => {
                coverage.reach("two agreed");
                holds!(by != person, "rule 5: {by} agreed with themselves");
                holds!(*person == *self.at_bench, "rule 5: {person} is not at the bench");
                Rc::make_mut(&mut self.agreed).insert(key.to_string());
            }
            // The act was not done: it is agreed on again when its stage is.
            Fact::Expired { .. } => self.agreed = Rc::default(),
            Fact::Judged { key, .. } | Fact::Done { key, .. } => {
                Rc::make_mut(&mut self.agreed).remove(key.as_str());
            }
            _ => {}
        }
        Ok(())
    }

    /// While the second reading is due, the first is in nothing that anybody sees; and nothing is gone on with before.
    fn hidden(&self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        let Some(first) = &self.first else { return Ok(()) };
        let shown = scene.effects.iter().filter(|effect| !matches!(effect, Effect::Record(_)));
        // The number alone, whatever unit it would be shown in. An open circuit has none.
        let number = first.0.trim_start_matches('+').split([' ', 'E']).next().unwrap_or_default();
        let is_number = number.contains(|c: char| c.is_ascii_digit());
        for effect in shown {
            let is_leak = is_number && format!("{effect:?}").contains(number);
            holds!(!is_leak, "rule 5: the first value {number} is shown in {effect:?}");
        }
        let Some(question) = scene.asks() else { return Ok(()) };
        let key = question.key.as_str();
        let makes_safe = key.starts_with("make-safe.") || key.starts_with("dead.");
        // A proof that ran out is made again, under supervision where that takes it.
        let is_allowance = key.ends_with(".supervisor") || key.ends_with(".takes-over");
        let is_second = question.turn == Some(Turn::Second);
        coverage.reach(match question.expects {
            Expects::Value { by: Some(_), .. } if is_second => "hidden: by an instrument",
            Expects::Value { .. } if is_second => "hidden: by eye",
            _ => "hidden",
        });
        holds!(
            is_second || makes_safe || is_allowance,
            "rule 5: `{key}` is asked before the second reading"
        );
        Ok(())
    }

    /// The act is asked for, and its source comes on, only after two people agreed.
    fn agreed_before(&self, scene: &Scene<'_>) -> Result<(), String> {
        let due = |key: &str| AGREED.iter().find(|(_, act)| *act == key);
        let is_due = due(scene.key()).is_some();
        holds!(
            !is_due || self.agreed.contains(scene.key()),
            "rule 5: `{}` is asked before two people agreed",
            scene.key()
        );
        let stage = scene.event.key().and_then(|key| key.as_str().strip_suffix(".clear"));
        let act = stage.and_then(|stage| AGREED.iter().find(|(listed, _)| *listed == stage));
        if let (Some(_), Some((stage, act))) = (scene.energises(), act) {
            holds!(self.agreed.contains(*act), "rule 5: {stage} comes on before two people agreed");
        }
        Ok(())
    }
}
