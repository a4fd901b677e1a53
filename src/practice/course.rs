//! What happened in a practice, as far as it is judged.

use crate::procedure::Procedure;
use crate::record::{Energy, Entry, Event, Fact, Key, Reason, StopReason};

/// How long a source was on at a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepTime {
    /// The place of the step in the procedure, over all its stages.
    pub step: usize,
    /// For how long (s).
    pub seconds: f64,
}

/// The course of a practice.
#[derive(Clone, Copy, Debug)]
pub struct Course<'a> {
    procedure: &'a Procedure,
    entries: &'a [Entry],
}

/// A point that was read besides what was asked.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct ProbedPoint<'a> {
    point: &'a str,
    value: Option<crate::quantity::Quantity>,
    stage: Option<usize>,
}

impl<'a> Course<'a> {
    /// Of a record up to where the person said what is wrong.
    #[must_use]
    pub fn of(procedure: &'a Procedure, entries: &'a [Entry]) -> Self {
        Self { procedure, entries }
    }

    /// The place of the step that a key belongs to, over all stages; none for a key of the run itself.
    pub(super) fn place(&self, key: &Key) -> Option<usize> {
        self.procedure.steps().position(|(_, step)| step.step.value == key.owner())
    }

    /// How far it came.
    pub(super) fn furthest(&self) -> Option<usize> {
        self.entries.iter().filter_map(|entry| self.place(entry.event.key()?)).max()
    }

    /// How long a source was on at each step that was come to, in the order in which it was. What a question took counts at its step:
    /// the source that it asks for is on by its end.
    #[must_use]
    pub fn live(&self) -> Vec<StepTime> {
        let mut times: Vec<StepTime> = Vec::new();
        let (mut energy, mut at, mut before_ms) = (Energy::Unknown, None, 0);
        for entry in self.entries {
            let key = entry.event.key();
            let now = if key.is_some_and(Key::is_making_safe) {
                at
            } else {
                key.and_then(|key| self.place(key)).or(at)
            };
            let begins = entry.event.begins_its_time();
            let ms = if begins { 0 } else { entry.at.elapsed_ms.saturating_sub(before_ms) };
            before_ms = entry.at.elapsed_ms;
            at = now;
            if let Some(step) = now.filter(|_| energy.is_energised()) {
                let seconds = std::time::Duration::from_millis(ms).as_secs_f64();
                match times.last_mut() {
                    Some(last) if last.step == step => last.seconds += seconds,
                    _ => times.push(StepTime { step, seconds }),
                }
            }
            let mut states = entry.facts.iter().filter_map(|fact| match fact {
                Fact::Energy { state } => Some(state),
                _ => None,
            });
            energy = states.next_back().cloned().unwrap_or(energy);
        }
        times
    }

    /// The last verdict on a reading: whether it was taken as good.
    pub(super) fn was_good(&self, key: &Key) -> Option<bool> {
        self.facts().rev().find_map(|fact| match fact {
            Fact::Judged { key: judged, verdict, .. } if judged == key => {
                Some(!verdict.is_outside())
            }
            _ => None,
        })
    }

    /// Whether something that was read or seen stopped it, or the person did.
    pub(super) fn was_stopped(&self, by: StoppedBy) -> bool {
        let reasons = self.facts().filter_map(|fact| match fact {
            Fact::Stopped { reason, .. } => Some(reason),
            _ => None,
        });
        let mut found = reasons.map(stopped_by);
        found.any(|found| found == Some(by))
    }

    /// Every point that was read besides what was asked, in order.
    pub(super) fn probed(&self) -> Vec<ProbedPoint<'a>> {
        let stage = |key: &Key| {
            let place = self.place(key)?;
            let mut first = 0;
            self.procedure.stages.iter().position(|stage| {
                first += stage.steps.len();
                place < first
            })
        };
        let probed = self.entries.iter().filter_map(|entry| match &entry.event {
            Event::Probed { key, point: Some(point), value } => {
                Some(ProbedPoint { point, value: *value, stage: stage(key) })
            }
            _ => None,
        });
        probed.collect()
    }

    fn facts(&self) -> impl DoubleEndedIterator<Item = &'a Fact> {
        self.entries.iter().flat_map(|entry| &entry.facts)
    }
}

impl ProbedPoint<'_> {
    /// Whether it told nothing: there was nothing to read.
    pub(super) fn is_empty(&self) -> bool {
        self.value.is_none()
    }
}

/// What stopped a run, as far as a practice is concerned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum StoppedBy {
    /// What was read or seen.
    Reading,
    /// The person.
    Person,
}

fn stopped_by(reason: &StopReason) -> Option<StoppedBy> {
    match reason {
        StopReason::Outside
        | StopReason::Undecided
        | StopReason::Seen
        | StopReason::Tripped { .. }
        | StopReason::FoundLive { .. } => Some(StoppedBy::Reading),
        StopReason::Declined { reason } | StopReason::Halted { reason } => match reason {
            Reason::NotGiven {} | Reason::KeyPressed {} | Reason::Words(_) => {
                Some(StoppedBy::Person)
            }
            _ => None,
        },
        StopReason::Interrupted { .. }
        | StopReason::InstrumentLost { .. }
        | StopReason::RecordFailed { .. }
        | StopReason::Unattended { .. }
        | StopReason::CouldNotWorkOut { .. }
        | StopReason::UnusableFact { .. }
        | StopReason::FoundOn(_)
        | StopReason::Resumed
        | StopReason::ClockUpset { .. }
        | StopReason::Disagreement
        | StopReason::SourceOff { .. }
        | StopReason::StillFitted { .. } => None,
    }
}
