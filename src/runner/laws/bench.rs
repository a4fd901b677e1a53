//! A bench to walk on: the runner, the monitor and the clock.

use super::monitor::{Coverage, Monitor, Scene};
use super::moves::{Move, Pending, event, moment, started};
use super::procedure::OPERATOR;
use super::rig::RigKind;
use crate::record::{Entry, Event, Moment};
use crate::runner::{Effect, Runner};

#[derive(Clone, Debug)]
pub(super) struct MonitoredRun {
    pub(super) rig: RigKind,
    runner: Runner,
    monitor: Monitor,
    now_ms: u64,
    pub(super) pending: Option<Pending>,
}

impl MonitoredRun {
    /// A bench before its run starts.
    pub(super) fn new(rig: RigKind) -> Self {
        let (runner, monitor) = (rig.runner(), Monitor::on(rig));
        Self { rig, runner, monitor, now_ms: 0, pending: None }
    }

    /// Starts the run.
    pub(super) fn start(&mut self, coverage: &mut Coverage) -> Vec<Effect> {
        self.happen(1_000, &started(OPERATOR, self.rig), coverage).expect("a start breaks no rule")
    }

    /// Makes a move; an error names the rule that does not hold.
    pub(super) fn step(
        &mut self,
        step: Move,
        coverage: &mut Coverage,
    ) -> Result<Vec<Effect>, String> {
        let (at, event) = event(step, self.now_ms, self.pending.as_ref());
        self.happen(at, &event, coverage)
    }

    fn happen(
        &mut self,
        at: u64,
        event: &Event,
        coverage: &mut Coverage,
    ) -> Result<Vec<Effect>, String> {
        self.now_ms = at;
        let at = moment(at);
        let effects = self.runner.handle(at, event.clone());
        let after =
            if effects.is_empty() { self.pending.clone() } else { pending(&effects, event) };
        let scene = Scene {
            at,
            event,
            effects: &effects,
            facts: entry(&effects).map(|entry| entry.facts.as_slice()).unwrap_or_default(),
            before: self.pending.as_ref(),
            after: after.as_ref(),
        };
        self.monitor.see(&scene, coverage)?;
        self.pending = after;
        Ok(effects)
    }

    /// Makes good moves until a question is put; panics where none leads there.
    pub(super) fn until(mut self, key: &str) -> Self {
        let mut coverage = Coverage::default();
        for _ in 0..120 {
            if self.is_asked(key) {
                return self;
            }
            self.step(Move::Good, &mut coverage).expect("good answers break no rule");
        }
        panic!("good answers never lead to `{key}`");
    }

    pub(super) fn is_asked(&self, key: &str) -> bool {
        self.pending.as_ref().is_some_and(|pending| pending.question.key == key)
    }
}

fn entry(effects: &[Effect]) -> Option<&Entry> {
    effects.iter().find_map(|effect| match effect {
        Effect::Record(entry) => Some(entry.as_ref()),
        _ => None,
    })
}

pub(super) fn recorded(effects: &[Effect]) -> Option<(Moment, Event)> {
    entry(effects).map(|entry| (entry.at, entry.event.clone()))
}

fn pending(effects: &[Effect], event: &Event) -> Option<Pending> {
    let is_sampled = matches!(event, Event::Sampled { traces, .. } if !traces.is_empty());
    effects.iter().find_map(|effect| match effect {
        Effect::Ask(question) => {
            Some(Pending { question: question.as_ref().clone(), until_ms: None, is_sampled })
        }
        Effect::Wait { question, span } => {
            let until_ms = Some(span.until_ms);
            Some(Pending { question: question.as_ref().clone(), until_ms, is_sampled })
        }
        _ => None,
    })
}
