//! How long results stand: since when each stage's are there, and what is known of the equipment since it was left.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

use super::batch::Batch;
use super::effect::Expects;
use super::machine::Runner;
use super::step_at::StepAt;
use super::task::Task;
use crate::procedure::act::Choice;
use crate::procedure::identity;
use crate::record::{CLOCKS_DIFFER_MS, Event, Expiry, Fact, Key, Mode, Moment, Refusal, Source};

/// How long results stand where neither the procedure nor the shop says: a working day (common practice, no source).
const RESULTS_STAND_MS: u64 = 10 * 3_600_000;

/// The age of what a run has found.
#[derive(Clone, Debug, Default)]
pub(super) struct Ages {
    /// Whether results age: those of records from before they did are judged as they were.
    is_on: bool,
    /// What the earlier sittings and the time between them come to, less where this sitting's clock began (ms).
    before_ms: u64,
    /// The last moment of the run.
    last: Option<Moment>,
    /// When each stage that counts was opened (ms of the whole run).
    opened: BTreeMap<usize, u64>,
    /// What became of the equipment since somebody was last seen to look after it.
    left: Option<LeftEquipment>,
    is_scripted: bool,
}

/// What is known of equipment that was left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum LeftEquipment {
    /// The same person may tell.
    Ask,
    InSight,
    OutOfSight,
    HandsIn,
    /// Nobody can tell how long it was left: the clock went back.
    Unknown,
}

impl Ages {
    fn now_ms(&self, at: Moment) -> u64 {
        self.before_ms.saturating_add(at.elapsed_ms)
    }

    /// Takes up a run that was left, by the same person or by another.
    fn take_up(&mut self, at: Moment, newest: Option<DateTime<FixedOffset>>, is_other: bool) {
        let Some(last) = self.last else { return };
        let away_ms = (at.wall - last.wall).num_milliseconds();
        let is_back =
            newest.is_some_and(|newest| (newest - at.wall).num_milliseconds() > CLOCKS_DIFFER_MS);
        let ended_ms = self.now_ms(last).saturating_add(u64::try_from(away_ms).unwrap_or(0));
        self.before_ms = ended_ms.saturating_sub(at.elapsed_ms);
        self.left = Some(match self.left {
            _ if is_back || away_ms < -CLOCKS_DIFFER_MS => LeftEquipment::Unknown,
            // What was left by one and not answered for stays so.
            Some(
                stricter @ (LeftEquipment::OutOfSight
                | LeftEquipment::HandsIn
                | LeftEquipment::Unknown),
            ) => stricter,
            _ if is_other || self.is_scripted => LeftEquipment::OutOfSight,
            _ => LeftEquipment::Ask,
        });
    }
}

impl Runner {
    /// Keeps the time of the whole run, before anything is made of an event.
    pub(super) fn keep_time(&mut self, at: Moment, event: &Event) {
        match event {
            Event::Started(opening) => {
                self.ages.is_on = opening.judged_at.is_some();
                self.ages.is_scripted = opening.mode == Mode::Scripted;
                self.judged_at(opening.judged_at, at);
            }
            Event::Resumed { by, judged_at, .. } => {
                self.ages.is_on |= judged_at.is_some();
                let is_other = identity(&self.full_name(by)) != identity(self.crew.person());
                self.ages.take_up(at, *judged_at, is_other);
                self.judged_at(*judged_at, at);
            }
            Event::ClockUpset { slept_ms: 1.., .. } => {
                let left = self.ages.left.unwrap_or(LeftEquipment::Ask);
                let is_told = self.ages.is_scripted && left == LeftEquipment::Ask;
                self.ages.left = Some(if is_told { LeftEquipment::OutOfSight } else { left });
            }
            _ => {}
        }
        self.ages.last = Some(at);
    }

    /// Notes that a stage begins: its results are as old as that at the most.
    pub(super) fn stage_opens(&mut self, batch: &Batch, stage: usize) {
        let now_ms = self.ages.now_ms(batch.at);
        self.ages.opened.insert(stage, now_ms);
    }

    /// Forgets every stage: something was repaired.
    pub(super) fn forget_ages(&mut self) {
        self.ages.opened.clear();
        self.ages.left = None;
    }

    fn results_stand_ms(&self) -> u64 {
        let stated = self.own_time(self.procedure.results_stand_for.as_ref());
        let shop = self.bench.as_ref().and_then(|bench| bench.results_stand_ms());
        match (stated, shop) {
            (Some(stated), Some(shop)) => stated.min(shop),
            (stated, shop) => stated.or(shop).unwrap_or(RESULTS_STAND_MS),
        }
    }

    /// Asks what became of the equipment while it was left, if a stage would stand on the answer; tells whether it does.
    pub(super) fn asks_about_sight(&mut self, first: usize) -> bool {
        let stands = self.ages.opened.keys().any(|stage| *stage < first);
        let asks = self.ages.is_on && self.ages.left == Some(LeftEquipment::Ask) && stands;
        if asks {
            self.progress.first([Task::Sight, Task::Reenter]);
        }
        asks
    }

    pub(super) fn ask_sight(&mut self) {
        let choices = vec![
            Choice::explained("out of sight", "or not sure: the lamp stage is taken again"),
            Choice::explained("hands in", "somebody worked on it: every stage is taken again"),
            Choice::explained("in sight", "I saw it all the time and nobody touched it"),
        ];
        let what = "The work was interrupted. What became of the equipment since?";
        let question = self.question(Key::sight(), what, Expects::Choice(choices));
        self.ask(Task::Sight, question);
    }

    pub(super) fn sight_answered(&mut self, batch: &mut Batch, text: &str) {
        let left = match text.trim().to_lowercase().as_str() {
            "out of sight" => LeftEquipment::OutOfSight,
            "hands in" => LeftEquipment::HandsIn,
            "in sight" => LeftEquipment::InSight,
            _ => return self.refuse(batch, text, Refusal::NotAChoice),
        };
        self.progress.answered();
        self.ages.left = Some(left);
    }

    /// Work goes on: what became of the equipment while it was left has had its effect.
    pub(super) fn was_taken_up(&mut self) {
        self.ages.left = None;
    }

    /// Lets results go that stand no longer, with all that was built on them, and goes back to the first of their stages.
    /// Tells whether there were any.
    pub(super) fn expires(&mut self, batch: &mut Batch) -> bool {
        let Some(at) = self.progress.at().filter(|_| self.ages.is_on) else { return false };
        let Some((stage, why)) = self.expired(batch).filter(|(stage, _)| *stage <= at.stage) else {
            return false;
        };
        self.ages.left = None;
        self.ages.opened.retain(|opened_in, _| *opened_in < stage);
        self.results.begin_again_at(stage);
        let mut steps = Vec::new();
        for step in self.procedure.stages.iter().skip(stage).flat_map(|stage| &stage.steps) {
            if self.results.forget(&step.step.value) {
                steps.push(step.step.value.clone());
            }
        }
        if steps.is_empty() {
            // Nothing is there to grow old yet, and the stage is not opened again: its age counts from here.
            self.stage_opens(batch, stage);
            return false;
        }
        batch.facts.push(Fact::Expired { steps, why });
        self.progress.go_to(StepAt { stage, step: 0 });
        self.progress.forget_agreement();
        true
    }

    /// The first stage whose results stand no longer, and why.
    fn expired(&self, batch: &Batch) -> Option<(usize, Expiry)> {
        let (now_ms, stands_ms) = (self.ages.now_ms(batch.at), self.results_stand_ms());
        let age_ms = |opened: &u64| now_ms.saturating_sub(*opened);
        let mut opened = self.ages.opened.iter();
        let old = opened.find(|(_, opened)| age_ms(opened) > stands_ms);
        let old =
            old.map(|(stage, opened)| (*stage, Expiry::Old { age_ms: age_ms(opened), stands_ms }));
        let first = self.ages.opened.keys().next().copied();
        let is_lamp = |stage: &&usize| {
            let stage = self.procedure.stages.get(**stage);
            stage.is_some_and(|stage| stage.source.value == Source::MainsThroughLamp)
        };
        let lamp = self.ages.opened.keys().find(is_lamp).copied();
        let left = self.ages.left.and_then(|left| match left {
            LeftEquipment::Unknown => first.map(|stage| (stage, Expiry::AgeUnknown)),
            LeftEquipment::HandsIn => first.map(|stage| (stage, Expiry::HandsIn)),
            LeftEquipment::OutOfSight | LeftEquipment::Ask => {
                lamp.map(|stage| (stage, Expiry::OutOfSight))
            }
            LeftEquipment::InSight => None,
        });
        [old, left].into_iter().flatten().min_by_key(|(stage, _)| *stage)
    }
}
