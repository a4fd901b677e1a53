//! One fault on its way through a procedure.

use std::collections::BTreeSet;

use super::missing::{MissingReading, Unseen, Visit, missing};
use super::outcome::{FaultOutcome, OutsideStep, Stop};
use super::spoiled::name_of;
use super::stress::{Borne, Gauge};
use crate::circuit::model::State;
use crate::circuit::walk::{PassedStep, Seen, Walk};
use crate::netlist::PlacedFault;
use crate::procedure::Stage;
use crate::procedure::step::Kind;
use crate::record::Source;

/// What every fault goes through.
pub(super) struct FaultWalk<'a> {
    pub(super) walk: Walk<'a>,
    pub(super) gauges: &'a [Gauge],
}

impl FaultWalk<'_> {
    /// Takes the sound circuit or one fault through the whole procedure.
    pub(super) fn take(&self, spoiled: &[PlacedFault], states: &[State<'_>]) -> FaultOutcome {
        let mut borne = Borne::new(self.gauges, spoiled);
        let mut outcome = self.begin(spoiled);
        let mut stages = BTreeSet::new();
        let ended = self.walk.each(states, &mut |passed| {
            self.pass(&passed, &mut outcome, &mut stages, &mut borne);
        });
        if outcome.stop.is_none() {
            // Behind a stop nobody comes to a state that is not known.
            outcome.unknown = ended.err();
            outcome.passed = stages.len();
            outcome.worst = borne.worst();
        }
        outcome
    }

    fn pass(
        &self,
        passed: &PassedStep<'_>,
        outcome: &mut FaultOutcome,
        stages: &mut BTreeSet<usize>,
        borne: &mut Borne<'_>,
    ) {
        let PassedStep { place, stage, step, state, guarded, seen } = passed;
        let is_judged = step.kind().and_then(Kind::is_judged) == Some(true);
        if seen.is_empty() && state.is_some() && is_judged {
            outcome.unread.push(step.step.value.clone());
        }
        outcome.read.extend(seen.iter().map(|reading| reading.step.clone()));
        if let Some(state) = state.filter(|_| outcome.stop.is_none()) {
            stages.insert(place.stage);
            outcome.reaches_mains |= stage.source.value == Source::Mains;
            borne.last(state, self.walk.seconds(stage, step));
        }
        for reading in guarded.iter().chain(seen).filter(|reading| reading.is_outside()) {
            outcome
                .signs
                .push(OutsideStep { stage: stage.stage.value.clone(), step: reading.step.clone() });
            outcome.stop.get_or_insert_with(|| {
                outcome.passed = stages.len().saturating_sub(usize::from(state.is_some()));
                outcome.worst = borne.worst();
                reading.stop(stage)
            });
        }
    }

    fn begin(&self, spoiled: &[PlacedFault]) -> FaultOutcome {
        let position = |placed: &PlacedFault| {
            let part = self.walk.circuit.file.parts.get(&placed.part)?;
            part.position.as_ref().map(|text| text.value.clone())
        };
        let positions: Vec<_> = spoiled.iter().filter_map(position).collect();
        let position = Some(positions.join(" + ")).filter(|words| !words.is_empty());
        FaultOutcome::of(name_of(spoiled), position)
    }

    /// What would stop the faults that no step stops.
    pub(super) fn missing(
        &self,
        states: &[&[State<'_>]],
        outcomes: &[FaultOutcome],
    ) -> Vec<MissingReading> {
        let Some((sound, faulty)) = states.split_first() else { return Vec::new() };
        let visit = |at: usize| {
            let place = self.walk.route.places.iter().find(|place| place.situation == Some(at))?;
            let (stage, step) = self.walk.at(place)?;
            let is_on_outputs = stage.source.value == Source::BenchSupply;
            Some(Visit { stage: &stage.stage, step: &step.step, is_on_outputs })
        };
        let visits: Vec<_> = (0..self.walk.route.situations.len()).filter_map(visit).collect();
        let unseen = outcomes.iter().zip(faulty).filter_map(|(outcome, states)| {
            outcome.is_uncaught().then_some(Unseen { fault: &outcome.fault, states })
        });
        missing(self.walk.circuit, &visits, sound, &unseen.collect::<Vec<_>>())
    }
}

impl Seen {
    fn stop(&self, stage: &Stage) -> Stop {
        Stop {
            stage: stage.stage.value.clone(),
            step: self.step.clone(),
            source: stage.source.value,
            reads: self.reads(),
        }
    }
}
