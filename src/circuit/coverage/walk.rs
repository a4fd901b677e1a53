//! One fault on its way through a procedure: each reading judged by the procedure's own windows.

use std::collections::BTreeMap;

use super::missing::{MissingReading, Unseen, Visit, missing};
use super::outcome::{FaultOutcome, OutsideStep, Stop};
use super::spoiled::name_of;
use super::stress::{Borne, Gauge};
use crate::circuit::model::{Circuit, State};
use crate::circuit::route::{Route, RoutePlace, parts};
use crate::netlist::PlacedFault;
use crate::procedure::act::{Act, Way};
use crate::procedure::step::Kind;
use crate::procedure::{KnownValues, OutputValue, Point as Where, Procedure, Stage, Step};
use crate::quantity::{Quantity, Reading, Unit};
use crate::record::{Key, Source};
use crate::window::Bounds;

/// How long a step takes that says nothing of its time (s); common practice, no source: to read a meter and to write down what it shows.
const STEP_S: f64 = 20.0;

/// Readings so far, by the name that formulas have for them and by part.
type Readings = BTreeMap<String, BTreeMap<String, Quantity>>;

/// What every fault goes through.
pub(super) struct Walk<'a> {
    pub(super) procedure: &'a Procedure,
    pub(super) circuit: &'a Circuit,
    pub(super) known: &'a KnownValues,
    pub(super) route: &'a Route,
    pub(super) gauges: &'a [Gauge],
}

/// What is read at a step.
struct Seen {
    step: String,
    value: Quantity,
    bounds: Bounds,
    unit: Option<Unit>,
}

impl Walk<'_> {
    /// Takes the sound circuit or one fault through the whole procedure.
    pub(super) fn take(&self, spoiled: &[PlacedFault], states: &[State<'_>]) -> FaultOutcome {
        let mut borne = Borne::new(self.gauges, spoiled);
        let mut outcome = self.begin(spoiled);
        let mut readings = Readings::new();
        let mut stages = std::collections::BTreeSet::new();
        let mut before = None;
        for place in &self.route.places {
            let Some((stage, step)) = self.at(place) else { continue };
            let state = place.situation.and_then(|at| states.get(at)).copied();
            if let Some((_, Err(error))) = state {
                // Behind a stop nobody comes to it.
                if outcome.stop.is_none() {
                    outcome.unknown = Some(error.to_string());
                }
                break;
            }
            let is_new = std::mem::replace(&mut before, place.situation) != place.situation;
            let mut seen = Vec::new();
            if let Some(state) = state.filter(|_| is_new) {
                seen = self.guards(stage, step, state, &readings);
            }
            seen.extend(self.seen(stage, step, state, &mut readings, &mut outcome));
            let is_stopped = outcome.stop.is_some();
            if let Some(state) = state.filter(|_| !is_stopped) {
                stages.insert(place.stage);
                outcome.reaches_mains |= stage.source.value == Source::Mains;
                borne.last(state, self.seconds(stage, step));
            }
            for reading in seen {
                if !reading.bounds.judge(&Reading::Number(reading.value)).is_outside() {
                    continue;
                }
                outcome.signs.push(OutsideStep {
                    stage: stage.stage.value.clone(),
                    step: reading.step.clone(),
                });
                outcome.stop.get_or_insert_with(|| {
                    outcome.passed = stages.len().saturating_sub(usize::from(state.is_some()));
                    outcome.worst = borne.worst();
                    reading.stop(stage)
                });
            }
        }
        if outcome.stop.is_none() {
            outcome.passed = stages.len();
            outcome.worst = borne.worst();
        }
        outcome
    }

    fn begin(&self, spoiled: &[PlacedFault]) -> FaultOutcome {
        let position = |placed: &PlacedFault| {
            let part = self.circuit.file.parts.get(&placed.part)?;
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
            let place = self.route.places.iter().find(|place| place.situation == Some(at))?;
            let (stage, step) = self.at(place)?;
            let is_on_outputs = stage.source.value == Source::BenchSupply;
            Some(Visit { stage: &stage.stage, step: &step.step, is_on_outputs })
        };
        let visits: Vec<_> = (0..self.route.situations.len()).filter_map(visit).collect();
        let unseen = outcomes.iter().zip(faulty).filter_map(|(outcome, states)| {
            outcome.is_uncaught().then_some(Unseen { fault: &outcome.fault, states })
        });
        missing(self.circuit, &visits, sound, &unseen.collect::<Vec<_>>())
    }

    fn at(&self, place: &RoutePlace) -> Option<(&Stage, &Step)> {
        let stage = self.procedure.stages.get(place.stage)?;
        Some((stage, stage.steps.get(place.step)?))
    }

    /// What is read at a step.
    fn seen(
        &self,
        stage: &Stage,
        step: &Step,
        state: Option<State<'_>>,
        readings: &mut Readings,
        outcome: &mut FaultOutcome,
    ) -> Vec<Seen> {
        let mut seen = Vec::new();
        let acts = stage.acts(step, &|name: &str| self.value(name, readings)).unwrap_or_default();
        for part in parts(step, self.known) {
            let key = Key::step(&step.step, &part);
            for keyed in &acts {
                let judged = self.judged(&keyed.act, &key, state, readings);
                let Some((value, bounds, unit)) = judged else { continue };
                readings.entry(step.formula_name()).or_default().insert(part.clone(), value);
                let step = key.as_str().to_owned();
                seen.push(Seen { step, value, bounds, unit: Some(unit) });
            }
            self.given(step, &key, &part, readings);
        }
        let is_judged = step.kind().and_then(Kind::is_judged) == Some(true);
        if seen.is_empty() && state.is_some() && is_judged {
            outcome.unread.push(step.step.value.clone());
        }
        outcome.read.extend(seen.iter().map(|reading| reading.step.clone()));
        seen
    }

    /// What the circuit does not change and a later window needs.
    fn given(&self, step: &Step, key: &Key, part: &str, readings: &mut Readings) {
        let file = &self.circuit.file;
        let Some(given) = key.widening().find_map(|name| file.given.get(name)) else { return };
        if let Ok(value) = given.evaluate(&|name: &str| self.known.value(name)) {
            let by_part = readings.entry(step.formula_name()).or_default();
            by_part.entry(part.to_owned()).or_insert(value);
        }
    }

    /// The value of an act that is judged, as far as the circuit tells it.
    fn judged(
        &self,
        act: &Act,
        key: &Key,
        state: Option<State<'_>>,
        readings: &Readings,
    ) -> Option<(Quantity, Bounds, Unit)> {
        match act {
            Act::Read { bounds, unit, way, .. } => {
                let value = self.reading(key, way.as_ref(), state?, readings)?;
                Some((value, *bounds, unit.clone()))
            }
            Act::Watch(watching) => {
                let way = watching.point.clone().map(Way::At);
                let value = self.reading(key, way.as_ref(), state?, readings)?;
                Some((value, watching.bounds, watching.unit.clone()))
            }
            // Only what comes from readings of the circuit: it was worked out, so they were all there.
            Act::WorkOut { value, bounds, unit, .. } if state.is_some() => {
                Some((*value, *bounds, unit.clone()))
            }
            _ => None,
        }
    }

    /// What is read: as the circuit file says, or at an output of the supply that feeds the circuit.
    fn reading(
        &self,
        key: &Key,
        way: Option<&Way>,
        state: State<'_>,
        readings: &Readings,
    ) -> Option<Quantity> {
        let known = |name: &str| self.value(name, readings);
        if let Some(read) = self.circuit.reading(key, state, &known) {
            return read;
        }
        match way? {
            Way::At(Where::Output { channel, what }) => self.output(channel, *what, state),
            Way::At(Where::Function(_)) => None,
            Way::Ramp { channels, .. } => {
                self.output(channels.first()?, OutputValue::Voltage, state)
            }
        }
    }

    fn output(&self, channel: &str, what: OutputValue, state: State<'_>) -> Option<Quantity> {
        self.circuit.output(channel, what, state, &|name: &str| self.known.value(name))
    }

    /// What outputs have to stay inside of while the source of a stage is on.
    fn guards(
        &self,
        stage: &Stage,
        step: &Step,
        state: State<'_>,
        readings: &Readings,
    ) -> Vec<Seen> {
        let seen = stage.while_on.iter().filter_map(|(name, window)| {
            let point = Where::parse(name);
            let Where::Output { channel, what } = &point else { return None };
            let bounds = window.bounds(&|name: &str| self.value(name, readings)).ok()?;
            let value = self.output(channel, *what, state)?;
            let step = format!("{} (while on: {})", step.step.value, name.value);
            Some(Seen { step, value, bounds, unit: point.unit() })
        });
        seen.collect()
    }

    /// A name in a formula of the procedure: a reading so far, or what is known.
    fn value(&self, name: &str, readings: &Readings) -> Option<Vec<Quantity>> {
        if let Some(known) = self.known.value(name) {
            return Some(known);
        }
        if let Some(parts) = readings.get(name) {
            return Some(parts.values().copied().collect());
        }
        let (step, part) = name.split_once('.')?;
        Some(vec![*readings.get(step)?.get(part)?])
    }

    /// How long a step lasts.
    fn seconds(&self, stage: &Stage, step: &Step) -> f64 {
        let acts = stage.acts(step, &|name: &str| self.known.value(name)).unwrap_or_default();
        let timed = acts.iter().map(|keyed| match &keyed.act {
            Act::Watch(watching) => watching.time_ms,
            Act::Wait { ms, .. } => *ms,
            Act::Read { way: Some(Way::Ramp { over_ms, .. }), .. } => *over_ms,
            _ => 0,
        });
        let ms: u64 = timed.sum();
        STEP_S + std::time::Duration::from_millis(ms).as_secs_f64()
    }
}

impl Seen {
    fn stop(&self, stage: &Stage) -> Stop {
        let unit = self.unit.as_ref();
        Stop {
            stage: stage.stage.value.clone(),
            step: self.step.clone(),
            source: stage.source.value,
            reads: format!(
                "{}, window {}",
                self.value.engineering(3, unit),
                self.bounds.describe(unit)
            ),
        }
    }
}
