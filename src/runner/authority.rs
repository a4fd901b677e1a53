//! Who may do what at this bench: the people file, who is present to supervise, and the questions that come of it.

use std::collections::BTreeSet;
use std::sync::Arc;

use chrono::{DateTime, Duration, FixedOffset};

use super::batch::Batch;
use super::effect::Expects;
use super::machine::Runner;
use super::task::Task;
use crate::procedure::act::Act;
use crate::procedure::{Day, People, Permission, Person, Stage};
use crate::record::{
    Duty, Event, Fact, Key, Matter, Meaning, Moment, Part, PersonRefusal, Refusal,
};

/// The people of the shop, and who of them is named as present.
#[derive(Clone, Debug, Default)]
pub(super) struct StaffPresent {
    people: Option<Arc<People>>,
    /// The people named as present to supervise. It counts for one stage, one person at the bench, and to the next stop.
    present: BTreeSet<String>,
    /// The last proof of dead was made after a stop by somebody who may not make one alone.
    lone_proof: bool,
    /// The newest time that was known when the sitting began, and what its clock showed then (ms).
    newest: Option<(DateTime<FixedOffset>, u64)>,
}

impl StaffPresent {
    /// Forgets who was present: it has to be said again.
    pub(super) fn forget_present(&mut self) {
        self.present.clear();
    }
}

impl Runner {
    /// Says whose people work here: from then on each may do what the roles allow. Without them everybody may.
    #[must_use]
    pub fn with_people(self, people: Option<People>) -> Self {
        let authority = StaffPresent { people: people.map(Arc::new), ..StaffPresent::default() };
        Self { authority, ..self }
    }

    /// Tells whether somebody is on the staff and competent for this work on a day.
    ///
    /// # Errors
    /// Why not.
    pub(super) fn admits(&self, name: &str, day: Day) -> Result<(), PersonRefusal> {
        let Some(people) = &self.authority.people else { return Ok(()) };
        people.admitted(name, self.procedure.class(), day).map(drop)
    }

    /// Tells whether the person an event brings to the bench may be there.
    pub(super) fn admits_newcomer(&self, at: Moment, event: &Event) -> bool {
        match event {
            Event::Started(opening) => {
                self.may_come(&opening.operator, day_of(at, opening.judged_at)).is_ok()
            }
            Event::Resumed { by, judged_at, .. } => {
                self.may_come(by, day_of(at, *judged_at)).is_ok()
            }
            _ => true,
        }
    }

    /// Keeps the newest time that was known when a sitting began.
    pub(super) fn judged_at(&mut self, newest: Option<DateTime<FixedOffset>>, at: Moment) {
        self.authority.newest = newest.map(|newest| (newest, at.elapsed_ms));
    }

    /// The day that competence and calibration are judged on: the clock of this machine may have been set back.
    pub(super) fn today(&self, at: Moment) -> Day {
        let newest = self.authority.newest.map(|(newest, since_ms)| {
            let passed = at.elapsed_ms.saturating_sub(since_ms);
            newest + Duration::milliseconds(i64::try_from(passed).unwrap_or(0))
        });
        day_of(at, newest)
    }

    /// The people file of the run.
    pub(super) fn people_file(&self) -> Option<&People> {
        self.authority.people.as_deref()
    }

    /// Tells whether a name is that of somebody on the staff. Without a people file nobody can tell, and everybody is.
    pub(super) fn is_on_staff(&self, name: &str) -> bool {
        self.people_file().is_none_or(|people| people.find(name).is_some())
    }

    /// Tells whether somebody may work with nobody in reach.
    pub(super) fn may_work_alone(&self) -> bool {
        self.people_file().is_none_or(|people| people.may_work_alone)
    }

    /// A person's name as it stands in the people file, or as it was given.
    #[must_use]
    pub fn full_name(&self, given: &str) -> String {
        let found = self.authority.people.as_ref().and_then(|people| people.find(given));
        found.map_or_else(|| given.trim().to_owned(), |person| person.name.value.clone())
    }

    /// The first thing that this task takes a role for and that the person at the bench may not do as things are.
    /// Making safe after a stop is nothing that anybody has to be allowed to do.
    pub(super) fn lacks(&self, batch: &Batch, task: &Task) -> Option<Duty> {
        if self.authority.people.is_none() || self.stopping.is_on() {
            return None;
        }
        let due = self.duties_of(task);
        due.into_iter().flatten().find(|duty| !self.is_allowed(batch, *duty))
    }

    fn duties_of(&self, task: &Task) -> [Option<Duty>; 2] {
        match task {
            Task::Clear | Task::Live => [Some(Duty::Energise), None],
            Task::Prove(_) | Task::StillDead => [Some(Duty::ProveDead), None],
            // What takes the energy away, is another person's or has its own tasks is free to everybody.
            Task::Act { act: Act::Energise | Act::SourceOff { .. } | Act::ProveDead, .. }
            | Task::Act { act: Act::Hold { .. } | Act::Witness { .. }, .. } => [None, None],
            Task::Act { at, .. } => {
                let is_live = self.power.is_live();
                Self::duties_in(self.procedure.stages.get(at.stage), is_live)
            }
            // What the act takes is looked at before two agree on it: afterwards nobody takes over the bench.
            Task::Agree(agreement) => {
                let is_live = self.power.is_live() || agreement.energises();
                Self::duties_in(self.stage(), is_live)
            }
            _ => [None, None],
        }
    }

    fn duties_in(stage: Option<&Stage>, is_live: bool) -> [Option<Duty>; 2] {
        let is_test = stage.is_some_and(|stage| stage.safety_test);
        [is_live.then_some(Duty::Energise), is_test.then_some(Duty::SafetyTest)]
    }

    fn is_allowed(&self, batch: &Batch, duty: Duty) -> bool {
        let is_alone = |name: &String| self.permission(batch, name, duty) == Permission::Alone;
        match self.permission(batch, self.crew.person(), duty) {
            Permission::Alone => true,
            Permission::Supervised => self.authority.present.iter().any(is_alone),
            Permission::No => false,
        }
    }

    fn permission(&self, batch: &Batch, name: &str, duty: Duty) -> Permission {
        let Some(people) = &self.authority.people else { return Permission::Alone };
        let may = |person| people.may(person, duty, self.procedure.class(), self.today(batch.at));
        people.find(name).map_or(Permission::No, may)
    }

    /// Takes a question back that the person at the bench may not be asked any more: someone else took over.
    pub(super) fn withdraw_unallowed(&mut self, batch: &Batch) {
        let Some(current) = self.progress.current().filter(|current| current.wait.is_none()) else {
            return;
        };
        let task = current.task.clone();
        if let Some(duty) = self.lacks(batch, &task) {
            self.progress.answered();
            self.progress.first(allowed_first(duty, task));
        } else if matches!(task, Task::Allow(_)) {
            self.progress.answered();
            self.progress.first([task]);
        }
    }

    /// Asks who is present to supervise; or who takes over, where that would not help.
    pub(super) fn ask_allowance(&mut self, batch: &Batch, duty: Duty) {
        if self.is_allowed(batch, duty) {
            return;
        }
        let (person, words) = (self.crew.person().to_owned(), duty.words());
        let may = self.permission(batch, &person, duty);
        let (matter, what, expects) = if may == Permission::Supervised {
            let what = format!(
                "{person} may {words} under direct supervision only. Who is here and watches?"
            );
            (
                Matter::Supervisor,
                what,
                Expects::Name { role: format!("person who may {words} alone") },
            )
        } else {
            let what = format!("{person} may not {words} here. Who takes over the bench?");
            (Matter::TakesOver, what, Expects::TakesOver)
        };
        let stage = self.stage().map(|stage| stage.stage.value.as_str());
        let mut question = self.question(Key::of_stage(stage, matter), what, expects);
        if may == Permission::Supervised {
            question = self.signed(Meaning::Supervised, None, question);
        }
        self.ask(Task::Allow(duty), question);
    }

    pub(super) fn allowance_answered(&mut self, batch: &mut Batch, text: &str, duty: Duty) {
        let Some(current) =
            self.progress.take_if(|current| current.question.expects != Expects::TakesOver)
        else {
            return self.refuse(batch, text, Refusal::HandOverOrStop);
        };
        let key = current.question.key.clone();
        match self.supervisor(batch, text, duty) {
            Ok(by) => {
                self.authority.present.insert(by.clone());
                batch.facts.push(Fact::Supervised { key, by, duty });
            }
            Err(reason) => {
                self.progress.ask(current);
                self.refuse(batch, text, reason);
            }
        }
    }

    /// The person who may supervise: another one than is at the bench, who may do it alone.
    fn supervisor(&self, batch: &Batch, text: &str, duty: Duty) -> Result<String, Refusal> {
        self.is_name(text)?;
        let person = self.allowed(batch, text, |people, person, class, day| {
            people.may(person, duty, class, day) == Permission::Alone
        });
        let name =
            person?.ok_or_else(|| PersonRefusal::NotAlone { name: self.full_name(text), duty })?;
        if self.is_same(&name, self.crew.person()) {
            return Err(PersonRefusal::OwnSupervisor.into());
        }
        self.is_apart(Part::Supervise, &name)?;
        Ok(name)
    }

    /// Tells whether somebody may release a hold point that names this role.
    pub(super) fn may_release(&self, batch: &Batch, text: &str, role: &str) -> Result<(), Refusal> {
        let allowed = self.allowed(batch, text, |people, person, class, day| {
            people.releases(person, role, class, day)
        });
        let (name, role) = (self.full_name(text), role.to_owned());
        allowed?.map(drop).ok_or_else(|| PersonRefusal::WithoutRole { name, role }.into())
    }

    /// Tells whether somebody may accept something as it is.
    pub(super) fn may_concede(&self, batch: &Batch, text: &str) -> Result<(), Refusal> {
        let allowed = self.allowed(batch, text, |people, person, class, day| {
            people.may(person, Duty::Concede, class, day) == Permission::Alone
        });
        let name = self.full_name(text);
        allowed?.map(drop).ok_or_else(|| PersonRefusal::NotToAccept { name }.into())
    }

    /// The full name of somebody who is admitted, if the test lets them through. Without people everybody is.
    fn allowed(
        &self,
        batch: &Batch,
        text: &str,
        is_allowed: impl Fn(&People, &Person, &str, Day) -> bool,
    ) -> Result<Option<String>, Refusal> {
        let Some(people) = &self.authority.people else { return Ok(Some(text.trim().to_owned())) };
        let (class, day) = (self.procedure.class(), self.today(batch.at));
        let person = people.admitted(text, class, day)?;
        let name = person.name.value.clone();
        Ok(is_allowed(people, person, class, day).then_some(name))
    }

    /// Notes who made the proof that has just ended.
    pub(super) fn note_prover(&mut self, batch: &Batch) {
        self.authority.lone_proof = !self.is_allowed(batch, Duty::ProveDead);
    }

    /// Lets a proof go when work is taken up again, if it was made after a stop by somebody who may not make one alone: it
    /// made the equipment safe, and does not let hands in.
    pub(super) fn drop_lone_proof(&mut self, batch: &mut Batch) {
        if std::mem::take(&mut self.authority.lone_proof) && self.power.is_proved_dead() {
            self.power.isolate(batch);
        }
    }
}

/// A task behind the questions that it takes first. No source comes on by a name alone: the word that all is clear follows it.
pub(super) fn allowed_first(duty: Duty, task: Task) -> Vec<Task> {
    let clear = (task == Task::Live).then_some(Task::Clear);
    [Task::Allow(duty)].into_iter().chain(clear).chain([task]).collect()
}

/// The day of a moment, or of the newest time that is known: a clock that was set back makes nobody competent again.
fn day_of(at: Moment, newest: Option<DateTime<FixedOffset>>) -> Day {
    let wall = newest.map_or(at.wall, |newest| newest.max(at.wall));
    Day::from(wall.with_timezone(at.wall.offset()).date_naive())
}
