//! What comes before a source comes on: the notice, the word that all is clear, the proof of dead.

use super::batch::Batch;
use super::effect::{Advice, Effect, Expects, Notice, Setting};
use super::machine::Runner;
use super::task::Task;
use crate::procedure::act::Act;
use crate::procedure::{Hazard, Stage, Step};
use crate::record::{Ceiling, Key, Matter, Source, Unworkable};

impl Runner {
    /// What the stage's source will deliver, while it is not on yet. After a stop, making safe comes next and nothing else.
    pub(super) fn coming(&self, stage: &Stage) -> Option<String> {
        let is_stopped = self.stopping.is_on();
        let is_dead = stage.source.value == Source::None;
        if is_stopped || is_dead || self.power.is_live() || !self.comes_on_again() {
            return None;
        }
        let ceiling = self.scope.ceiling.as_ref();
        let ceiling = ceiling.map(|ceiling| format!(", up to {ceiling}")).unwrap_or_default();
        Some(format!("{}{ceiling}", stage.source.words()))
    }

    /// Tells whether the source of the stage at hand still comes on, by what is left to be carried out in it.
    fn comes_on_again(&self) -> bool {
        let here = self.progress.at().map(|at| at.stage);
        self.progress.tasks().any(|task| match task {
            Task::Clear | Task::Live | Task::Act { act: Act::Energise, .. } => true,
            Task::Step(at) => {
                Some(at.stage) == here && self.step_at(*at).is_some_and(Step::energises)
            }
            _ => false,
        })
    }

    pub(super) fn notice(&mut self, batch: &mut Batch, stage: usize, step: Option<usize>) {
        let task = Task::Notice { stage, step };
        let Some((name, hazard)) = self.hazard(stage, step) else { return };
        let key = Key::step(name, "").about(Matter::Hazard);
        let notice = Notice {
            key: key.clone(),
            signal: hazard.due_signal(),
            risk: self.scope.fill(&hazard.risk),
            result: self.scope.fill(&hazard.result),
            avoid: self.scope.fill(&hazard.avoid),
        };
        let (what, expects) = match &hazard.confirm {
            Some(confirm) => (confirm.ask.value.clone(), Expects::Confirm),
            None => ("Read the notice above, then go on".to_owned(), Expects::Done),
        };
        batch.effects.push(Effect::Warn(Box::new(notice)));
        let question = self.question(key, what, expects);
        self.ask(task, question);
    }

    /// The notice of a stage, or of one of its steps, with the name it belongs to.
    pub(super) fn hazard(&self, stage: usize, step: Option<usize>) -> Option<(&str, &Hazard)> {
        let stage = self.procedure.stages.get(stage)?;
        match step.and_then(|step| stage.steps.get(step)) {
            Some(step) => Some((&step.step, step.hazard.as_ref()?)),
            None => Some((&stage.stage, stage.hazard.as_ref()?)),
        }
    }

    pub(super) fn clear(&mut self, batch: &mut Batch) {
        let Some(stage) = self.stage() else { return };
        let source = stage.source.value;
        let key = Key::of_stage(Some(&stage.stage), Matter::Clear);
        if self.stops_on_fitted(batch, source) {
            return;
        }
        if source.is_mains() && self.crew.advise() {
            batch.effects.push(Effect::Advise(Advice::FirstMains));
        }
        let fitted = match self.fitted.len() {
            0 => String::new(),
            _ => format!(" Still fitted: {}.", self.fitted_names().join(", ")),
        };
        let what = format!(
            "Next: {}. Tools and loose leads out, people told and clear?{fitted}",
            source.words()
        );
        let question = self.question(key, what, Expects::Word("clear"));
        self.ask(Task::Clear, question);
    }

    /// The ceiling as it was when the stage opened, whatever the readings since then would make of it.
    fn ceiling_in_force(&self, stage: &Stage) -> Result<Option<Ceiling>, Unworkable> {
        if !self.era.is_former() {
            return Ok(self.scope.ceiling.clone());
        }
        let ceiling = self.ceiling(stage)?;
        if let Some((bench, ceiling)) = self.bench.as_ref().zip(ceiling.as_ref()) {
            bench.can_deliver(&self.outputs(), ceiling)?;
        }
        Ok(ceiling)
    }

    /// The ceiling of a stage that opens: one that the source or the bench can't have is refused before anything comes on.
    pub(super) fn opening_ceiling(&self, stage: &Stage) -> Result<Option<Ceiling>, Unworkable> {
        let ceiling = self.ceiling(stage)?;
        if let Some(ceiling) = ceiling.as_ref().filter(|_| !self.era.is_former()) {
            ceiling.is_credible_of(stage.source.value)?;
            if let Some(bench) = &self.bench {
                let named: Vec<String> = stage.channels().map(|name| name.value.clone()).collect();
                bench.can_deliver(&named, ceiling)?;
                bench.can_deliver(&self.outputs_of(stage), ceiling)?;
            }
        }
        Ok(ceiling)
    }

    /// Lets the source come up, if the equipment is proved dead or already fed by it.
    pub(super) fn go_live(&mut self, batch: &mut Batch) {
        // What stood when the stage opened may have grown too old since.
        if !self.power.is_live() && self.expires(batch) {
            self.progress.drop_tasks();
            return self.progress.first([Task::Reenter]);
        }
        let Some(stage) = self.stage() else { return };
        let source = stage.source.value;
        let outputs = self.outputs();
        let ceiling = match self.ceiling_in_force(stage) {
            Ok(ceiling) => ceiling,
            Err(error) => {
                let name = stage.stage.value.clone();
                return self.could_not_work_out(batch, &name, error);
            }
        };
        if self.stops_on_fitted(batch, source) {
            return;
        }
        if !self.power.is_live() && !self.power.is_proved_dead() {
            let safe = self.make_safe();
            return self.progress.first(safe.into_iter().chain([Task::Clear, Task::Live]));
        }
        let unwatched = self.unwatched();
        if !unwatched.is_empty() {
            batch.effects.push(Effect::Advise(Advice::Unwatched(unwatched)));
        }
        self.power.energise(batch, source, ceiling.clone());
        batch.effects.push(Effect::Energise(Setting { source, ceiling, outputs }));
    }
}
