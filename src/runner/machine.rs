//! The state machine: its state, its one door, and the order of things in a batch.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::age::Ages;
use super::authority::{StaffPresent, allowed_first};
use super::batch::Batch;
use super::concession::Concession;
use super::crew::Crew;
use super::effect::{Effect, Expects, Place, Question, WaitSpan, WhichSitting};
use super::era::Era;
use super::power::Power;
use super::progress::{Current, Progress};
use super::results::Results;
use super::scope::Scope;
use super::step_at::StepAt;
use super::stopping::Stopping;
use super::task::Task;
use crate::procedure::act::Act;
use crate::procedure::{BenchFile, Equipment, Procedure, Stage, Step};
use crate::record::{Energy, Entry, Event, Key, Mode, Moment, Opening, StaffFiles};
use crate::window::Rule;

/// A run of a procedure on one piece of equipment.
#[derive(Clone, Debug)]
pub struct Runner {
    /// Shared, so that a copy of a run is cheap.
    pub(super) procedure: Arc<Procedure>,
    pub(super) equipment: Option<Equipment>,
    pub(super) bench: Option<Arc<BenchFile>>,
    /// The overdue calibrations that nobody has accepted yet.
    pub(super) unaccepted: Vec<Concession>,
    pub(super) rule: Rule,
    pub(super) scope: Scope,
    pub(super) crew: Crew,
    /// Whether there is a file of allowed signers: what binds a person is then signed.
    pub(super) signs: bool,
    pub(super) authority: StaffPresent,
    pub(super) staff_files: StaffFiles,
    pub(super) ages: Ages,
    /// Whether what instruments send comes from a simulated bench.
    pub(super) rehearses: bool,
    /// Whether a fault is hidden that the person looks for: then the circuit may be read besides what is asked.
    pub(super) practises: bool,
    pub(super) era: Era,
    pub(super) power: Power,
    pub(super) progress: Progress,
    pub(super) stopping: Stopping,
    pub(super) results: Results,
    pub(super) fitted: BTreeSet<String>,
    pub(super) recording: bool,
}

impl Runner {
    /// Makes a run ready to start.
    #[must_use]
    pub fn new(procedure: Procedure, equipment: Option<Equipment>) -> Self {
        Self {
            // The checks refuse a band that is no number; without one the stricter rule stands.
            rule: procedure.rule().unwrap_or(Rule::GUARDED),
            procedure: Arc::new(procedure),
            equipment,
            bench: None,
            unaccepted: Vec::new(),
            scope: Scope::default(),
            crew: Crew::default(),
            signs: false,
            authority: StaffPresent::default(),
            staff_files: StaffFiles::default(),
            ages: Ages::default(),
            rehearses: false,
            practises: false,
            era: Era::TODAY,
            power: Power::unknown(),
            progress: Progress::default(),
            stopping: Stopping::none(),
            results: Results::default(),
            fitted: BTreeSet::new(),
            recording: true,
        }
    }

    /// Says on which bench: what its meters promise enters the verdicts.
    #[must_use]
    pub fn on_bench(self, bench: Option<BenchFile>) -> Self {
        Self { bench: bench.map(Arc::new), ..self }
    }

    /// What is known of the energy in the equipment.
    #[must_use]
    pub fn energy(&self) -> &Energy {
        self.power.state()
    }

    /// Tells whether the run has started and not ended.
    #[must_use]
    pub fn is_running(&self) -> bool {
        !self.crew.is_empty() && !self.progress.is_over()
    }

    /// Tells whether a run that has ended may be taken up again.
    #[must_use]
    pub fn is_resumable(&self) -> bool {
        self.progress.is_resumable()
    }

    /// Takes an event and says what to do. An event that does not fit the moment leads to nothing.
    pub fn handle(&mut self, at: Moment, event: Event) -> Vec<Effect> {
        if !self.takes(at, &event) {
            return Vec::new();
        }
        let mut batch = Batch::new(at);
        self.keep_time(at, &event);
        // A proof whose time is up ends first: everything said and done from here on knows it.
        self.power.expire(&mut batch);
        self.react(&mut batch, &event);
        self.pump(&mut batch);
        self.note_parts(&batch);
        self.seal(batch, event)
    }

    pub(super) fn start(&mut self, batch: &mut Batch, opening: &Opening) {
        self.crew.come(self.full_name(&opening.operator));
        self.signs = opening.signers.is_some();
        self.rehearses = opening.mode == Mode::Rehearsal;
        self.practises = self.rehearses && opening.hidden().is_some();
        self.era = Era::of(&opening.program);
        self.staff_files = opening.staff_files();
        self.note_approval(batch, opening.approval.as_ref(), WhichSitting::First);
        self.note_overdue(batch);
        self.progress.last(self.opening_tasks());
    }

    /// The tasks before the first step: what has to be accepted, missing facts, worked-out values, the first stage.
    pub(super) fn opening_tasks(&self) -> Vec<Task> {
        let facts = self.procedure.asks.iter().map(|(name, _)| name.value.clone());
        let facts = facts.filter(|name| !self.scope.has_fact(name)).map(Task::Fact);
        let concessions = self.unaccepted.iter().cloned().map(Task::Concede);
        concessions.chain(facts).chain([Task::WorkOut, Task::Stage(0)]).collect()
    }

    /// Carries out tasks until one needs an answer.
    fn pump(&mut self, batch: &mut Batch) {
        self.withdraw_unallowed(batch);
        self.withdraw_unproved();
        while let Some(task) = self.progress.next() {
            match self.lacks(batch, &task) {
                Some(duty) => self.progress.first(allowed_first(duty, task)),
                None => self.begin(batch, task),
            }
            self.withdraw_unproved();
        }
        let presence = self.presence();
        let (alarm, unmeasured) = (self.alarm(), self.unmeasured());
        let guards = self.progress.task().map(|task| self.guards_of(task));
        if let Some(current) = self.progress.current_mut() {
            // A question that is put again tells of the moment it is put.
            current.question.energy.clone_from(self.power.state());
            current.question.unmeasured = unmeasured;
            self.crew.person().clone_into(&mut current.question.person);
            current.question.alarm.clone_from(&alarm);
            current.question.guards = guards.unwrap_or_default();
            current.question.presence = presence;
            let question = Box::new(current.question.clone());
            batch.effects.push(match current.wait {
                Some(span) => Effect::Wait { question, span },
                None => Effect::Ask(question),
            });
        }
    }

    /// Takes a question back that would have hands in without a proof of dead: one of many parts, or one that is put
    /// again after the proof has run out.
    fn withdraw_unproved(&mut self) {
        let Some(task) = self.progress.task() else { return };
        let at = match task {
            Task::StillDead if !self.proof_stands() => {
                self.progress.answered();
                let safe = self.make_safe();
                return self.progress.first(safe);
            }
            Task::Act { at, act: Act::Do { .. } | Act::Read { .. } | Act::Watch(_), .. } => *at,
            Task::Verify(verification) if verification.is_manned() => verification.target().at,
            _ => return,
        };
        if self.needs_proof(at) {
            let tasks: Vec<_> = self.make_safe().into_iter().chain([task.clone()]).collect();
            self.progress.answered();
            self.progress.first(tasks);
        }
    }

    /// Puts a batch in its one order: outputs off, the record, then everything else.
    fn seal(&self, batch: Batch, event: Event) -> Vec<Effect> {
        let mut effects = Vec::with_capacity(batch.effects.len() + 2);
        if batch.outputs_off {
            effects.push(Effect::OutputsOff);
        }
        if self.recording {
            let by = self.crew.person().to_owned();
            effects.push(Effect::Record(Box::new(Entry {
                at: batch.at,
                by,
                event,
                facts: batch.facts,
            })));
        }
        effects.extend(batch.effects);
        effects
    }

    pub(super) fn ask(&mut self, task: Task, question: Question) {
        self.progress.ask(Current { task, question, wait: None, traces: Vec::new() });
    }

    pub(super) fn wait(&mut self, batch: &Batch, task: Task, question: Question, ms: u64) {
        let from_ms = batch.now();
        let wait = Some(WaitSpan { from_ms, until_ms: from_ms.saturating_add(ms) });
        self.progress.ask(Current { task, question, wait, traces: Vec::new() });
    }

    /// A question about the step at hand, or about nothing in particular.
    pub(super) fn question(&self, key: Key, what: impl Into<String>, expects: Expects) -> Question {
        let step = self.step();
        Question {
            key,
            place: self.place(),
            energy: self.power.state().clone(),
            unmeasured: self.unmeasured(),
            person: self.crew.person().to_owned(),
            what: self.scope.fill(&what.into()),
            expects,
            why: step.and_then(|step| step.why.as_ref()).map(|why| why.value.clone()),
            basis: step.and_then(|step| step.basis.as_ref()).map(|basis| basis.value.clone()),
            stop: self.stopping.view().cloned(),
            guards: Vec::new(),
            presence: None,
            sign: None,
            signer: None,
            turn: None,
            list: Vec::new(),
            alarm: None,
        }
    }

    pub(super) fn place(&self) -> Place {
        let stages = self.procedure.stages.len();
        let Some((at, stage)) =
            self.progress.at().and_then(|at| Some((at, self.procedure.stages.get(at.stage)?)))
        else {
            return Place { stages, ..Place::default() };
        };
        Place {
            stage: stage.title.value.clone(),
            stage_number: at.stage + 1,
            stages,
            step_number: at.step + 1,
            steps: stage.steps.len(),
            coming: self.coming(stage),
        }
    }

    pub(super) fn stage(&self) -> Option<&Stage> {
        self.procedure.stages.get(self.progress.at()?.stage)
    }

    pub(super) fn step(&self) -> Option<&Step> {
        self.stage()?.steps.get(self.progress.at()?.step)
    }

    pub(super) fn step_at(&self, at: StepAt) -> Option<&Step> {
        self.procedure.stages.get(at.stage)?.steps.get(at.step)
    }
}
