//! Stopping: outputs off, make safe, then the person decides.

use super::batch::Batch;
use super::effect::{Expects, StopView};
use super::machine::Runner;
use super::progress::Current;
use super::task::{AfterStop, Task};
use crate::procedure::act::Choice;
use crate::record::{Fact, Key, Outcome, Source, StopReason};

impl Runner {
    /// Stops the run at the question at hand.
    pub(super) fn stop(&mut self, batch: &mut Batch, reason: StopReason) {
        let key = self.progress.question().map(|question| question.key.clone());
        self.halt(batch, key, reason, None);
    }

    /// Stops the run on what was just answered.
    pub(super) fn stop_at(
        &mut self,
        batch: &mut Batch,
        key: Key,
        reason: StopReason,
        view: StopView,
    ) {
        self.stopping.failed(&key);
        self.halt(batch, Some(key), reason, Some(view));
    }

    fn halt(
        &mut self,
        batch: &mut Batch,
        key: Option<Key>,
        reason: StopReason,
        view: Option<StopView>,
    ) {
        batch.outputs_off = true;
        batch.effects.clear();
        let is_at_signature = self.is_at_signature();
        batch.facts.push(Fact::Stopped { key: key.clone(), reason: reason.clone() });
        let charge =
            self.progress.interrupt().and_then(|current| rest_of_wait(current, batch.now()));
        self.stopping.begin(key, &reason, view);
        self.authority.forget_present();
        if reason.is_blind() {
            self.power.forget(batch);
        }
        if !self.power.is_proved_dead() {
            self.progress.last(charge.filter(|_| self.power.is_isolated()));
            self.progress.last(self.make_safe());
        }
        self.progress.last([self.tail(&reason, is_at_signature)]);
    }

    /// What comes once the equipment is safe after a stop.
    fn tail(&self, reason: &StopReason, is_at_signature: bool) -> Task {
        let outcome = self.stopping.ending();
        let resumable = reason.ending() != Outcome::CouldNotWorkOut;
        match reason {
            // What can't be written down any more isn't gone on with.
            _ if !self.recording => Task::Close { outcome, resumable },
            _ if reason.goes_on() && !self.stopping.is_undecided() => Task::Reenter,
            _ if reason.goes_on() || reason.is_about_the_equipment() => Task::WhatNext,
            // Who stops at the signature leaves the record unsigned.
            StopReason::Halted { .. } if !is_at_signature => Task::SignOff { outcome, resumable },
            _ => Task::Close { outcome, resumable },
        }
    }

    /// Tells whether the signature at the end is what is asked for.
    fn is_at_signature(&self) -> bool {
        matches!(self.progress.task(), Some(Task::SignOff { .. }))
    }

    /// Ends the run without a word from the bench: nobody can be asked any more.
    pub(super) fn abandon(&mut self, batch: &mut Batch) {
        batch.outputs_off = true;
        self.progress.interrupt();
        self.stopping.abandon();
        if self.power.is_live() {
            self.power.forget(batch);
        }
        let outcome = self.stopping.ending();
        self.progress.last([Task::Close { outcome, resumable: true }]);
    }

    /// Takes a run up again: what happened in between is not known.
    pub(super) fn resume(&mut self, batch: &mut Batch, by: &str) {
        self.crew.come(self.full_name(by));
        self.crew.forget_advice();
        self.progress.begin_again();
        self.power.reached_again();
        self.stop(batch, StopReason::Resumed);
        self.stopping.take_up();
    }

    /// Asks what to do after a stop.
    pub(super) fn what_next(&mut self) {
        let mut what = String::from("What next?");
        if !self.stopping.may_go_back() {
            what.push_str(" This reading was taken often enough: find the cause first.");
        }
        let question = self.question(Key::what_next(), what, Expects::Choice(self.next_choices()));
        self.ask(Task::WhatNext, question);
    }

    /// What a person can choose after a stop.
    pub(super) fn next_choices(&self) -> Vec<Choice> {
        let again = self.stopping.may_go_back().then(|| {
            Choice::explained("again", "take it again: the reading was at fault, not the equipment")
        });
        let others = [
            Choice::explained("repaired", "something was repaired: every stage begins again"),
            Choice::explained("later", "leave it here and take it up later"),
            Choice::explained("end", "end this run for good"),
        ];
        again.into_iter().chain(others).collect()
    }

    /// Carries out what the person decided after a stop.
    pub(super) fn decided(&mut self, batch: &mut Batch, next: AfterStop, why: &str) {
        self.drop_lone_proof(batch);
        match next {
            AfterStop::Again => {
                let key = self.stopping.try_again();
                batch.facts.push(Fact::Again { key, why: why.to_owned() });
                self.progress.first([Task::Reenter]);
            }
            AfterStop::Repaired => {
                batch.facts.push(Fact::Repaired { what: why.to_owned() });
                self.scope.forget_readings();
                self.stopping.repaired();
                self.results.forget_all();
                self.forget_ages();
                // With the facts that were not asked for yet, where the stop came before the first stage.
                let tasks = self.opening_tasks();
                self.progress.first(tasks);
            }
        }
    }

    /// Goes back to where work can be taken up with the source off: the step itself in a cold stage, the whole stage
    /// where it had just begun (its hold may not be released yet), else the first of the stages that share the source.
    pub(super) fn reenter(&mut self, batch: &mut Batch) {
        self.stopping.go_on();
        self.drop_lone_proof(batch);
        let Some(at) = self.progress.at() else {
            let tasks = self.opening_tasks();
            return self.progress.first(tasks);
        };
        if self.asks_about_sight(self.first_fed_alike(at.stage)) {
            return;
        }
        let at = if self.expires(batch) { self.progress.at().unwrap_or(at) } else { at };
        self.was_taken_up();
        let source =
            |stage: usize| self.procedure.stages.get(stage).map(|stage| stage.source.value);
        let here = source(at.stage);
        if here == Some(Source::None) && at.step > 0 {
            batch
                .facts
                .push(Fact::Reentered { stage: self.stage_name(at.stage), step: self.step_name() });
            let tasks: Vec<_> =
                self.preamble(at.stage).into_iter().chain(self.rest(at.stage, at.step)).collect();
            return self.progress.first(tasks);
        }
        let first = self.first_fed_alike(at.stage);
        batch.facts.push(Fact::Reentered { stage: self.stage_name(first), step: None });
        self.progress.first([Task::Stage(first)]);
    }

    /// The first of the stages up to this one that share its source; the stage itself where nothing is connected.
    fn first_fed_alike(&self, stage: usize) -> usize {
        let source =
            |stage: usize| self.procedure.stages.get(stage).map(|stage| stage.source.value);
        let here = source(stage);
        let fed_alike = |stage: &usize| source(*stage) == here && here != Some(Source::None);
        (0..=stage).rev().take_while(fed_alike).last().unwrap_or(stage)
    }

    fn stage_name(&self, stage: usize) -> String {
        self.procedure.stages.get(stage).map(|stage| stage.stage.value.clone()).unwrap_or_default()
    }

    fn step_name(&self) -> Option<String> {
        self.step().map(|step| step.step.value.clone())
    }
}

/// What is left of a wait for stored charge: a stop in the middle of it does not cut it short.
fn rest_of_wait(current: Current, now_ms: u64) -> Option<Task> {
    match (current.task, current.wait) {
        (Task::SafeWait { what, .. }, Some(wait)) => {
            Some(Task::SafeWait { ms: wait.until_ms.saturating_sub(now_ms), what })
        }
        _ => None,
    }
}
