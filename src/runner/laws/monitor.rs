//! Watches a run from outside: events, effects and recorded facts, never the runner's own state.

use std::collections::BTreeMap;

use super::answers::Answers;
use super::authority::Authority;
use super::control::Control;
use super::ending::Ending;
use super::energy::Dead;
use super::moves::Pending;
use super::order::Order;
use super::people::People;
use super::rig::Rig;
use super::rungs::Rungs;
use super::second::Second;
use super::signing::Signing;
use crate::record::{Event, Fact, Moment, Source};
use crate::runner::{Effect, Question};

/// Fails a law: the sentence begins with the number of the rule.
macro_rules! holds {
    ($condition:expr, $($words:tt)+) => {
        if !$condition {
            return Err(format!($($words)+));
        }
    };
}
pub(super) use holds;

/// How often each thing worth reaching was reached: a law that nothing triggers proves nothing.
#[derive(Debug, Default)]
pub(super) struct Coverage(BTreeMap<String, u64>);

impl Coverage {
    pub(super) fn reach(&mut self, what: impl Into<String>) {
        *self.0.entry(what.into()).or_default() += 1;
    }

    pub(super) fn count(&self, what: &str) -> u64 {
        self.0.get(what).copied().unwrap_or_default()
    }
}

/// One event with what was asked before it and all that came of it.
pub(super) struct Scene<'a> {
    pub(super) at: Moment,
    pub(super) event: &'a Event,
    pub(super) effects: &'a [Effect],
    /// What was recorded; nothing once recording has failed.
    pub(super) facts: &'a [Fact],
    pub(super) before: Option<&'a Pending>,
    pub(super) after: Option<&'a Pending>,
}

impl Scene<'_> {
    pub(super) fn asked(&self) -> Option<&Question> {
        self.before.map(|pending| &pending.question)
    }

    pub(super) fn asks(&self) -> Option<&Question> {
        self.after.map(|pending| &pending.question)
    }

    pub(super) fn key(&self) -> &str {
        self.asks().map(|question| question.key.as_str()).unwrap_or_default()
    }

    pub(super) fn was_live(&self) -> bool {
        self.asked().is_some_and(|question| question.energy.is_energised())
    }

    pub(super) fn energises(&self) -> Option<Source> {
        self.effects.iter().find_map(|effect| match effect {
            Effect::Energise(setting) => Some(setting.source),
            _ => None,
        })
    }

    /// Whether it is written down; not so once recording has failed.
    pub(super) fn is_recorded(&self) -> bool {
        self.effects.iter().any(|effect| matches!(effect, Effect::Record(_)))
    }

    pub(super) fn stops(&self) -> bool {
        self.facts.iter().any(|fact| matches!(fact, Fact::Stopped { .. }))
    }

    pub(super) fn is_refused(&self) -> bool {
        self.facts.iter().any(|fact| matches!(fact, Fact::Refused { .. }))
    }
}

/// Events after which nothing is known of the energy in the equipment.
pub(super) fn is_blind(event: &Event) -> bool {
    matches!(
        event,
        Event::Interrupted { .. }
            | Event::InstrumentLost { .. }
            | Event::Tripped { .. }
            | Event::RecordFailed { .. }
            | Event::FoundOn { .. }
            | Event::ClockUpset { slept_ms: 1.., .. }
            | Event::Resumed { .. }
    )
}

/// All laws, each with what it remembers of the run.
#[derive(Clone, Debug, Default)]
pub(super) struct Monitor {
    order: Order,
    rungs: Rungs,
    dead: Dead,
    people: People,
    authority: Authority,
    answers: Answers,
    ending: Ending,
    control: Control,
    signing: Signing,
    second: Second,
}

impl Monitor {
    pub(super) fn on(rig: Rig) -> Self {
        Self {
            rungs: Rungs::on(rig),
            answers: Answers::on(rig),
            authority: Authority::on(rig),
            control: Control::on(rig),
            signing: Signing::on(rig),
            ..Self::default()
        }
    }

    /// Looks at one scene; the error names the rule that does not hold.
    pub(super) fn see(&mut self, scene: &Scene<'_>, coverage: &mut Coverage) -> Result<(), String> {
        self.order.see(scene, coverage)?;
        if scene.effects.is_empty() {
            return Ok(());
        }
        self.rungs.see(scene, coverage)?;
        self.dead.see(scene, coverage)?;
        self.people.see(scene, coverage)?;
        self.authority.see(scene, coverage)?;
        self.answers.see(scene, coverage)?;
        self.ending.see(scene, coverage)?;
        self.control.see(scene, coverage)?;
        self.signing.see(scene, coverage)?;
        self.second.see(scene, coverage)
    }
}
