//! Watches a run from outside: events, effects and recorded facts, never the runner's own state.

use std::collections::BTreeMap;

use super::answers::AnswersLaw;
use super::authority::AuthorityLaw;
use super::control::ControlLaw;
use super::ending::EndingLaw;
use super::energy::DeadLaw;
use super::moves::Pending;
use super::order::OrderLaw;
use super::people::PeopleLaw;
use super::rig::RigKind;
use super::rungs::RungsLaw;
use super::second::SecondPersonLaw;
use super::signing::SigningLaw;
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

    /// Who was asked.
    pub(super) fn person(&self) -> &str {
        self.asked().map(|question| question.person.as_str()).unwrap_or_default()
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
    order: OrderLaw,
    rungs: RungsLaw,
    dead: DeadLaw,
    people: PeopleLaw,
    authority: AuthorityLaw,
    answers: AnswersLaw,
    ending: EndingLaw,
    control: ControlLaw,
    signing: SigningLaw,
    second: SecondPersonLaw,
}

impl Monitor {
    pub(super) fn on(rig: RigKind) -> Self {
        Self {
            rungs: RungsLaw::on(rig),
            answers: AnswersLaw::on(rig),
            authority: AuthorityLaw::on(rig),
            control: ControlLaw::on(rig),
            signing: SigningLaw::on(rig),
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
