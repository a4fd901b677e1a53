//! Opening stages, laying out steps, letting the source come up.

use super::agreement::ConcurrentAct;
use super::answer::Target;
use super::batch::Batch;
use super::effect::{Effect, Expects, Question};
use super::era::Era;
use super::machine::Runner;
use super::step_at::StepAt;
use super::task::{AfterStop, Task};
use super::watching::SteadyValue;
use crate::procedure::act::{Act, Keyed};
use crate::procedure::safety::{charges, is_of_insulation_test};
use crate::procedure::step::Kind;
use crate::procedure::{Stage, Step};
use crate::record::{Ceiling, Fact, Key, Matter, Meaning, Outcome, Source, StopReason, Unworkable};

impl Runner {
    /// Begins a task: carries it out at once, or puts its question.
    pub(super) fn begin(&mut self, batch: &mut Batch, task: Task) {
        match &task {
            Task::Fact(name) => self.fact(batch, &name.clone()),
            Task::WorkOut => self.work_out(batch),
            Task::Stage(stage) => self.open_stage(batch, *stage),
            Task::Step(at) => self.lay_out(batch, *at),
            Task::StepEnd(at) => self.end_step(batch, *at),
            Task::StageEnd(stage) => self.end_stage(batch, *stage),
            Task::Notice { stage, step } => self.notice(batch, *stage, *step),
            Task::Clear => self.clear(batch),
            Task::Live => self.go_live(batch),
            Task::Act { key, part, at, act } => {
                let (key, part, at, act) = (key.clone(), part.clone(), *at, act.clone());
                self.act(batch, key, part, at, act);
            }
            Task::Sample { key, watching, .. } => {
                let (key, what) = (key.clone(), watching.what.clone());
                let question = self.question(key, what, Expects::Done);
                let ms = watching.time_ms;
                self.wait(batch, task.clone(), question, ms);
            }
            Task::WaitOver { key, what } => {
                let question =
                    self.question(key.clone(), format!("Time is up. {what}"), Expects::Done);
                self.ask(task, question);
            }
            Task::Off { key, what } => {
                let what = match what {
                    Some(what) => format!("{what}. That is: {}", self.off_words()),
                    None => self.off_words(),
                };
                let question = self.question(key.clone(), what, Expects::Word("off"));
                self.ask(task, question);
            }
            Task::SafeWait { ms, what } => {
                let question = self.question(Key::charge(), what.clone(), Expects::Done);
                let ms = *ms;
                self.wait(batch, task, question, ms);
            }
            Task::StillDead => self.still_dead(batch),
            Task::Prove(part) => self.prove(batch, *part),
            Task::Proved => self.proved(batch),
            Task::Undecided(undecided) => self.ask_undecided(undecided.clone()),
            Task::Allow(duty) => self.ask_allowance(batch, *duty),
            Task::Concede(concession) => self.ask_concession(concession.clone()),
            Task::Verify(verification) => self.ask_verification(verification.clone()),
            Task::Agree(agreement) => self.ask_agreement(agreement.clone()),
            Task::WhatNext => self.what_next(),
            Task::WhatNextWhy(next) => {
                let what = match next {
                    AfterStop::Again => "Why is it taken again?",
                    AfterStop::Repaired => "What was repaired or replaced?",
                };
                let question = self.question(Key::what_next_why(), what, Expects::Text);
                self.ask(task, question);
            }
            Task::Sight => self.ask_sight(),
            Task::Reenter => self.reenter(batch),
            Task::SignOff { outcome, resumable } => self.sign_off(*outcome, *resumable),
            Task::Close { outcome, resumable } => self.close(batch, *outcome, *resumable),
        }
    }

    pub(super) fn could_not_work_out(&mut self, batch: &mut Batch, what: &str, error: Unworkable) {
        let what = Some(what.to_owned());
        self.stop(batch, StopReason::CouldNotWorkOut { what, error });
    }

    fn open_stage(&mut self, batch: &mut Batch, number: usize) {
        if self.goes_back(batch, Task::Stage(number)) {
            return;
        }
        let Some(stage) = self.procedure.stages.get(number) else {
            return self
                .progress
                .first([Task::SignOff { outcome: Outcome::Finished, resumable: false }]);
        };
        if self.is_fed_by_another(stage.source.value) {
            let safe = self.make_safe();
            return self.progress.first(safe.into_iter().chain([Task::Stage(number)]));
        }
        let ceiling = match self.opening_ceiling(stage) {
            Ok(ceiling) => ceiling,
            Err(error) => {
                let name = stage.stage.value.clone();
                return self.could_not_work_out(batch, &name, error);
            }
        };
        self.authority.forget_present();
        self.stage_opens(batch, number);
        let Some(stage) = self.procedure.stages.get(number) else { return };
        batch.facts.push(Fact::StageOpened {
            stage: stage.stage.value.clone(),
            title: stage.title.value.clone(),
            source: stage.source.value,
            ceiling: ceiling.clone(),
        });
        let hold = stage.hold.as_ref().map(|hold| Task::Act {
            key: Key::of_stage(Some(&stage.stage), Matter::Hold),
            part: String::new(),
            at: StepAt { stage: number, step: 0 },
            act: hold.act(),
        });
        let source = stage.source.value;
        self.scope.ceiling.clone_from(&ceiling);
        let tasks: Vec<_> =
            self.preamble(number).into_iter().chain(hold).chain(self.rest(number, 0)).collect();
        self.progress.go_to(StepAt { stage: number, step: 0 });
        // Since 0.3 the source rises with the `set` of the stage, behind its notice, and not before.
        if self.power.is_live() && self.era.is_former() {
            self.power.energise(batch, source, ceiling);
        }
        self.progress.first(tasks);
    }

    fn is_fed_by_another(&self, wanted: Source) -> bool {
        self.power.source().is_some_and(|source| source != wanted)
    }

    /// The stage's notice, if it has one.
    pub(super) fn preamble(&self, stage: usize) -> Option<Task> {
        let hazard = self.procedure.stages.get(stage)?.hazard.as_ref();
        hazard.map(|_| Task::Notice { stage, step: None })
    }

    /// The steps of a stage from one on, and its end.
    pub(super) fn rest(&self, stage: usize, from: usize) -> Vec<Task> {
        let steps = self.procedure.stages.get(stage).map_or(0, |stage| stage.steps.len());
        let steps = (from..steps).map(|step| Task::Step(StepAt { stage, step }));
        steps.chain([Task::StageEnd(stage)]).collect()
    }

    pub(super) fn ceiling(&self, stage: &Stage) -> Result<Option<Ceiling>, Unworkable> {
        stage.ceiling(&|name: &str| self.scope.values(name))
    }

    fn lay_out(&mut self, batch: &mut Batch, at: StepAt) {
        self.progress.go_to(at);
        self.uncover(batch);
        if self.goes_back(batch, Task::Step(at)) {
            return;
        }
        if self.needs_proof(at) {
            let safe = self.make_safe();
            return self.progress.first(safe.into_iter().chain([Task::Step(at)]));
        }
        if self.stops_on_fitting(batch, at) {
            return;
        }
        let Some(step) = self.step_at(at) else { return };
        if step.is_by_hand_only() && !self.outputs().is_empty() {
            let key = Key::step(&step.step, "");
            let what = "left out: the connected supply does it".to_owned();
            let is_former = self.era.is_former();
            let fact = if is_former { Fact::Done { key, what } } else { Fact::LeftOut(key) };
            batch.facts.push(fact);
            // What is left out is not done: nothing goes in or out by it.
            return if is_former { self.progress.first([Task::StepEnd(at)]) } else { self.end(at) };
        }
        let mut tasks = Vec::new();
        if step.hazard.is_some() {
            tasks.push(Task::Notice { stage: at.stage, step: Some(at.step) });
        }
        match self.acts(step, at) {
            Ok(acts) => tasks.extend(acts),
            Err(error) => {
                let name = step.step.value.clone();
                return self.could_not_work_out(batch, &name, error);
            }
        }
        tasks.push(Task::StepEnd(at));
        self.progress.first(tasks);
    }

    /// Tells whether a proof of dead is due before this step: at every step that puts hands or a probe on equipment that
    /// is not live, except the actions that isolate it ahead of the stage's first proof.
    pub(super) fn needs_proof(&self, at: StepAt) -> bool {
        let is_proof = |step: &Step| step.prove_dead.is_some();
        let Some(stage) = self.procedure.stages.get(at.stage) else { return true };
        let Some(step) = stage.steps.get(at.step) else { return true };
        let mut earlier = stage.steps.iter().take(at.step);
        let mut later = stage.steps.iter().skip(at.step);
        let isolates = step.r#do.is_some() && !earlier.any(is_proof) && later.any(is_proof);
        let is_in_the_test = self.power.is_charged() && is_of_insulation_test(step);
        let is_due = !self.power.is_live() && !self.power.is_proved_dead() && !is_in_the_test;
        is_due && step.kind().is_some_and(Kind::is_hands_on) && !isolates
    }

    pub(super) fn acts(&self, step: &Step, at: StepAt) -> Result<Vec<Task>, Unworkable> {
        let values = |name: &str| self.scope.values(name);
        let Some(stage) = self.procedure.stages.get(at.stage) else { return Ok(Vec::new()) };
        let acts = if self.era.is_former() {
            stage.acts(step, &values)?
        } else {
            stage.acts_under(self.scope.ceiling.as_ref(), step, &values)?
        };
        let named = step.for_each.iter().flatten().map(|name| name.value.as_str());
        let parts = if step.for_each.is_some() { self.scope.each(named) } else { vec![""] };
        let mut tasks = Vec::new();
        let is_agreed_on =
            self.procedure.stages.get(at.stage).is_some_and(|stage| stage.is_agreed_on(at.step));
        for part in parts {
            tasks.extend(agreement(&step.step, part, &acts).filter(|_| is_agreed_on));
            for keyed in &acts {
                let (key, act) = (Key::step(&step.step, part), keyed.act.clone());
                let key = match keyed.matter {
                    Some(matter) => key.about(matter),
                    None => key,
                };
                tasks.push(Task::Act { key, part: part.to_owned(), at, act });
            }
        }
        Ok(tasks)
    }

    fn end_step(&mut self, batch: &mut Batch, at: StepAt) {
        self.end(at);
        self.fitted_by(batch, at);
    }

    fn end(&mut self, at: StepAt) {
        self.results.done(at);
        self.progress.forget_agreement();
    }

    fn end_stage(&mut self, batch: &mut Batch, number: usize) {
        if self.goes_back(batch, Task::StageEnd(number)) {
            return;
        }
        if let Some(stage) = self.procedure.stages.get(number) {
            batch.facts.push(Fact::StageHeld { stage: stage.stage.value.clone() });
        }
        self.progress.first([Task::Stage(number + 1)]);
    }

    /// Tells whether a reading of an energised stage is due while its source is off: it would say nothing of the equipment
    /// on that source.
    fn is_read_off(&self, at: StepAt, act: &Act) -> bool {
        let reads = matches!(act, Act::Read { .. } | Act::Watch(_));
        let stage = self.procedure.stages.get(at.stage);
        let is_fed = stage.is_some_and(|stage| stage.source.value != Source::None);
        reads && is_fed && !self.power.is_live() && !self.era.is_former()
    }

    fn act(&mut self, batch: &mut Batch, key: Key, part: String, at: StepAt, act: Act) {
        if self.is_read_off(at, &act) {
            return self.stop(batch, StopReason::SourceOff { key });
        }
        if self.era >= Era::ProofsStand && self.step_at(at).is_some_and(charges) {
            // From the first press of its button, whatever comes of the reading.
            self.power.charge(batch);
        }
        let about = |what: &str| match part.as_str() {
            "" => what.to_owned(),
            part => format!("{part}: {what}"),
        };
        let (what, expects) = match &act {
            Act::Energise if self.power.is_live() => return self.progress.first([Task::Live]),
            Act::Energise => return self.progress.first([Task::Clear, Task::Live]),
            Act::SourceOff { what } => {
                let what = Some(what.clone());
                return self.progress.first([Task::Off { key, what }]);
            }
            Act::ProveDead => return self.begin_proof(),
            Act::WorkOut { what, .. } => {
                let what = self.scope.fill(what);
                return self.worked_out(batch, Target { key, part, at, what, act });
            }
            Act::Wait { ms, what } => {
                let question = self.question(key.clone(), what.clone(), Expects::Done);
                let ms = *ms;
                return self.wait(batch, Task::Act { key, part, at, act }, question, ms);
            }
            Act::Do { what } => (about(what), Expects::Done),
            Act::Look { what, choices } => (about(what), Expects::Choice(choices.clone())),
            Act::Read { what, unit, bounds, way, .. } => {
                let (bounds, by) = (Box::new(*bounds), self.by(way.as_ref()));
                (about(what), Expects::Value { unit: unit.clone(), bounds, by })
            }
            Act::Watch(watching) => {
                let watching = watching.clone();
                return self.begin_watch(key, part, at, watching);
            }
            Act::Steady { what, unit, steady } => {
                let (what, unit, steady) = (about(what), unit.clone(), steady.clone());
                return self.steady_by_hand(batch, SteadyValue { key, at, what, unit }, &steady);
            }
            Act::Hold { role, ask } => (ask.clone(), Expects::Name { role: role.clone() }),
            Act::Witness { role, ask, in_reach } => {
                (ask.clone(), Expects::Witness { role: role.clone(), in_reach: *in_reach })
            }
            Act::Note { ask } => (about(ask), Expects::Text),
            Act::Attach { ask } => (about(ask), Expects::File),
        };
        let target = Target { key, part, at, what, act };
        let question = self.question(target.key.clone(), target.what.clone(), expects);
        let (turn, list) = (self.turn(&target), self.list(&target));
        let mut question = Question { turn, list, ..question };
        if matches!(target.act, Act::Hold { .. }) {
            question = self.signed(Meaning::Released, None, question);
        }
        self.ask(target.task(), question);
    }

    fn close(&mut self, batch: &mut Batch, outcome: Outcome, resumable: bool) {
        if outcome == Outcome::Finished && !self.power.is_proved_dead() {
            let safe = self.make_safe();
            return self
                .progress
                .first(safe.into_iter().chain([Task::SignOff { outcome, resumable }]));
        }
        let outcome = outcome.max(self.stopping.ending());
        self.progress.end(resumable);
        let safe = self.power.is_proved_dead();
        let energy = self.power.state().clone();
        batch.facts.push(Fact::Closed { outcome, energy, safe, resumable });
        batch.effects.push(Effect::Finish(outcome));
    }
}

/// Has two people agree on what is switched, before anything of it is asked or comes on.
fn agreement(step: &str, part: &str, acts: &[Keyed]) -> Option<Task> {
    let what = acts.iter().find_map(|keyed| match &keyed.act {
        Act::Do { what } | Act::Read { what, .. } => Some(what.as_str()),
        _ => None,
    })?;
    let key = Key::step(step, part);
    let what = if part.is_empty() { what.to_owned() } else { format!("{part}: {what}") };
    let energises = acts.iter().any(|keyed| matches!(keyed.act, Act::Energise));
    Some(Task::Agree(ConcurrentAct::on(key, what, energises)))
}
