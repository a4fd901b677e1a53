//! Stopping: outputs off, make safe, then the person decides.

use super::effect::{Expects, StopView};
use super::machine::{Batch, Current, Runner};
use super::task::{Next, Task};
use crate::procedure::act::Choice;
use crate::record::{Energy, Fact, Key, Outcome, Source, StopReason};

impl Runner {
    /// Stops the run at the question at hand.
    pub(super) fn stop(&mut self, batch: &mut Batch, reason: StopReason) {
        let key = self.current.as_ref().map(|current| current.question.key.clone());
        let view = match (&self.stop, self.undecided) {
            // A later event does not push the reading that stopped the run out of sight.
            (Some(view), true) => view.clone(),
            _ => StopView { what: reason.words(), causes: Vec::new() },
        };
        self.halt(batch, key, reason, view);
    }

    /// Stops the run on what was just answered.
    pub(super) fn stop_at(
        &mut self,
        batch: &mut Batch,
        key: Key,
        reason: StopReason,
        view: StopView,
    ) {
        *self.failures.entry(key.clone()).or_default() += 1;
        self.halt(batch, Some(key), reason, view);
    }

    fn halt(&mut self, batch: &mut Batch, key: Option<Key>, reason: StopReason, view: StopView) {
        batch.outputs_off = true;
        batch.effects.clear();
        let is_at_signature = self.is_at_signature();
        batch.facts.push(Fact::Stopped { key: key.clone(), reason: reason.clone() });
        let charge = self.current.take().and_then(|current| rest_of_wait(current, batch.now()));
        self.tasks.clear();
        self.agreed = false;
        self.stop = Some(view);
        self.authority.forget_present();
        if is_blind(&reason) {
            self.set_energy(batch, Energy::Unknown);
        }
        if self.energy == Energy::Isolated {
            self.tasks.extend(charge);
        }
        if !self.is_proved_dead() {
            self.tasks.extend(self.make_safe());
        }
        if is_about_the_equipment(&reason) {
            self.undecided = true;
            self.stopped_key = key;
        }
        self.ending = self.ending.max(ending(&reason));
        let resumable =
            !matches!(reason, StopReason::CouldNotWorkOut { .. } | StopReason::SourceOff { .. });
        let tail = match reason {
            // What can't be written down any more isn't gone on with.
            _ if !self.recording => Task::Close { outcome: self.ending, resumable },
            _ if goes_on(&reason) && !self.undecided => Task::Reenter,
            _ if goes_on(&reason) => Task::WhatNext,
            _ if is_about_the_equipment(&reason) => Task::WhatNext,
            // Who stops at the signature leaves the record unsigned.
            StopReason::Halted { .. } if !is_at_signature => {
                Task::SignOff { outcome: self.ending, resumable }
            }
            _ => Task::Close { outcome: self.ending, resumable },
        };
        self.tasks.push_back(tail);
    }

    /// Tells whether the signature at the end is what is asked for.
    fn is_at_signature(&self) -> bool {
        self.current.as_ref().is_some_and(|current| matches!(current.task, Task::SignOff { .. }))
    }

    /// Ends the run without a word from the bench: nobody can be asked any more.
    pub(super) fn abandon(&mut self, batch: &mut Batch) {
        batch.outputs_off = true;
        self.current = None;
        self.agreed = false;
        self.tasks.clear();
        self.ending = self.ending.max(Outcome::LeftUnfinished);
        if self.energy.is_energised() {
            self.set_energy(batch, Energy::Unknown);
        }
        self.tasks.push_back(Task::Close { outcome: self.ending, resumable: true });
    }

    /// Takes a run up again: what happened in between is not known.
    pub(super) fn resume(&mut self, batch: &mut Batch, by: &str) {
        self.person = self.full_name(by);
        self.people.insert(self.person.clone());
        self.over = None;
        // The person who takes it up has not been told.
        self.advised = false;
        // Every instrument was reached again.
        self.not_off.clear();
        self.ending = if self.undecided { Outcome::StoppedOnReading } else { Outcome::Finished };
        self.stop(batch, StopReason::Resumed);
        self.ending = if self.undecided { Outcome::StoppedOnReading } else { Outcome::Finished };
    }

    /// Asks what to do after a stop.
    pub(super) fn what_next(&mut self) {
        let mut what = String::from("What next?");
        if !self.may_try_again(self.stopped_key.as_ref()) {
            what.push_str(" This reading was taken often enough: find the cause first.");
        }
        let question = self.question(Key::what_next(), what, Expects::Choice(self.next_choices()));
        self.ask(Task::WhatNext, question);
    }

    /// What a person can choose after a stop.
    pub(super) fn next_choices(&self) -> Vec<Choice> {
        let choice = |say: &str, about: &str| Choice {
            say: say.to_owned(),
            good: true,
            likely: None,
            next: Some(about.to_owned()),
        };
        let again = self.may_try_again(self.stopped_key.as_ref());
        let again = again
            .then(|| choice("again", "take it again: the reading was at fault, not the equipment"));
        let others = [
            choice("repaired", "something was repaired: every stage begins again"),
            choice("later", "leave it here and take it up later"),
            choice("end", "end this run for good"),
        ];
        again.into_iter().chain(others).collect()
    }

    /// Carries out what the person decided after a stop.
    pub(super) fn decided(&mut self, batch: &mut Batch, next: Next, why: &str) {
        self.undecided = false;
        self.ending = Outcome::Finished;
        self.stop = None;
        self.drop_lone_proof(batch);
        match next {
            Next::Again => {
                let key = self.stopped_key.take().unwrap_or_default();
                batch.facts.push(Fact::Again { key, why: why.to_owned() });
                self.first([Task::Reenter]);
            }
            Next::Repaired => {
                batch.facts.push(Fact::Repaired { what: why.to_owned() });
                self.scope.forget_readings();
                self.failures.clear();
                self.taken.clear();
                self.stale.clear();
                self.forget_ages();
                self.stopped_key = None;
                // With the facts that were not asked for yet, where the stop came before the first stage.
                let tasks = self.opening_tasks();
                self.first(tasks);
            }
        }
    }

    /// Goes back to where work can be taken up with the source off: the step itself in a cold stage, the whole stage
    /// where it had just begun (its hold may not be released yet), else the first of the stages that share the source.
    pub(super) fn reenter(&mut self, batch: &mut Batch) {
        self.stop = None;
        self.drop_lone_proof(batch);
        let Some(at) = self.at else {
            let tasks = self.opening_tasks();
            return self.first(tasks);
        };
        if self.asks_about_sight(self.first_fed_alike(at.stage)) {
            return;
        }
        let at = if self.expires(batch) { self.at.unwrap_or(at) } else { at };
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
            return self.first(tasks);
        }
        let first = self.first_fed_alike(at.stage);
        batch.facts.push(Fact::Reentered { stage: self.stage_name(first), step: None });
        self.first([Task::Stage(first)]);
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

/// Reasons after which nothing is known of the energy in the equipment.
fn is_blind(reason: &StopReason) -> bool {
    matches!(
        reason,
        StopReason::Interrupted { .. }
            | StopReason::InstrumentLost { .. }
            | StopReason::Tripped { .. }
            | StopReason::RecordFailed { .. }
            | StopReason::FoundOn { .. }
            | StopReason::ClockUpset { .. }
            | StopReason::FoundLive { .. }
            | StopReason::Resumed
    )
}

/// Reasons that end nothing: once the equipment is safe the run goes on.
fn goes_on(reason: &StopReason) -> bool {
    matches!(
        reason,
        StopReason::Resumed | StopReason::FoundOn { .. } | StopReason::ClockUpset { .. }
    )
}

/// Reasons that lie in the equipment or the procedure: the person decides how to go on.
fn is_about_the_equipment(reason: &StopReason) -> bool {
    matches!(
        reason,
        StopReason::Outside
            | StopReason::Undecided
            | StopReason::Disagreement
            | StopReason::Seen
            | StopReason::Declined { .. }
            | StopReason::Tripped { .. }
            | StopReason::StillFitted { .. }
            | StopReason::FoundLive { .. }
    )
}

fn ending(reason: &StopReason) -> Outcome {
    match reason {
        StopReason::Outside
        | StopReason::Undecided
        | StopReason::Disagreement
        | StopReason::Seen
        | StopReason::StillFitted { .. }
        | StopReason::FoundLive { .. }
        | StopReason::Declined { .. } => Outcome::StoppedOnReading,
        StopReason::Halted { .. }
        | StopReason::Interrupted { .. }
        | StopReason::Unattended { .. }
        | StopReason::Resumed => Outcome::LeftUnfinished,
        // It goes on from here: nothing has ended yet.
        StopReason::FoundOn { .. } | StopReason::ClockUpset { .. } => Outcome::Finished,
        StopReason::InstrumentLost { .. } | StopReason::Tripped { .. } => Outcome::InstrumentLost,
        StopReason::RecordFailed { .. } => Outcome::CouldNotRecord,
        StopReason::CouldNotWorkOut { .. } | StopReason::SourceOff { .. } => {
            Outcome::CouldNotWorkOut
        }
    }
}
