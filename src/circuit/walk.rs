//! A procedure on its way through the states of a circuit: each reading with the window that the procedure has for it.

use std::collections::BTreeMap;

use super::model::{Circuit, State};
use super::route::{Route, RoutePlace, parts};
use crate::procedure::act::{Act, Way};
use crate::procedure::{KnownValues, OutputValue, Point as Where, Procedure, Stage, Step};
use crate::quantity::{Quantity, Reading, Unit};
use crate::record::Key;
use crate::window::Bounds;

/// How long a step takes that says nothing of its time (s); common practice, no source: to read a meter and to write down what it shows.
const STEP_S: f64 = 20.0;

/// Readings so far, by the name that formulas have for them and by part.
pub(super) type Readings = BTreeMap<String, BTreeMap<String, Quantity>>;

/// What a circuit is taken through.
pub(super) struct Walk<'a> {
    pub(super) procedure: &'a Procedure,
    pub(super) circuit: &'a Circuit,
    /// What the person knows: by that the windows are worked out.
    pub(super) known: &'a KnownValues,
    /// What is so: the same, except where the mains of a set is off its value.
    pub(super) truth: &'a KnownValues,
    pub(super) route: &'a Route,
}

/// What is read at a step.
pub(super) struct Seen {
    pub(super) step: String,
    pub(super) value: Quantity,
    pub(super) bounds: Bounds,
    pub(super) unit: Option<Unit>,
    /// Whether it only has to stay inside while the source is on.
    pub(super) is_guarded: bool,
}

/// A step that was passed.
pub(super) struct PassedStep<'a> {
    pub(super) place: &'a RoutePlace,
    pub(super) stage: &'a Stage,
    pub(super) step: &'a Step,
    /// The circuit at its end; none while nothing is fed.
    pub(super) state: Option<State<'a>>,
    /// What has to stay inside while the source is on.
    pub(super) guarded: Vec<Seen>,
    /// What is read at it.
    pub(super) seen: Vec<Seen>,
}

impl Walk<'_> {
    /// Passes every step in order, as far as the states go that are given.
    ///
    /// # Errors
    /// A state without an operating point, in words: behind it nothing is passed.
    pub(super) fn each<'a>(
        &'a self,
        states: &[State<'a>],
        pass: &mut dyn FnMut(PassedStep<'a>),
    ) -> Result<Readings, String> {
        let mut readings = Readings::new();
        let mut before = None;
        for place in &self.route.places {
            let Some((stage, step)) = self.at(place) else { continue };
            let state = place.situation.and_then(|at| states.get(at)).copied();
            if place.situation.is_some() && state.is_none() {
                break;
            }
            if let Some((_, Err(error))) = state {
                return Err(error.to_string());
            }
            let is_new = std::mem::replace(&mut before, place.situation) != place.situation;
            let mut guarded = Vec::new();
            if let Some(state) = state.filter(|_| is_new) {
                guarded = self.guards(stage, step, state, &readings);
            }
            let seen = self.seen(stage, step, state, &mut readings);
            pass(PassedStep { place, stage, step, state, guarded, seen });
        }
        Ok(readings)
    }

    pub(super) fn at(&self, place: &RoutePlace) -> Option<(&Stage, &Step)> {
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
                seen.push(Seen { step, value, bounds, unit: Some(unit), is_guarded: false });
            }
            self.given(step, &key, &part, readings);
        }
        seen
    }

    /// What the circuit does not change and a later window needs.
    fn given(&self, step: &Step, key: &Key, part: &str, readings: &mut Readings) {
        let file = &self.circuit.file;
        let Some(given) = key.widening().find_map(|name| file.given.get(name)) else { return };
        if let Ok(value) = given.evaluate(&|name: &str| self.truth.value(name)) {
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
        let truth = |name: &str| self.true_value(name, readings);
        if let Some(read) = self.circuit.reading(key, state, &truth) {
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
        self.circuit.output(channel, what, state, &|name: &str| self.truth.value(name))
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
            Some(Seen { step, value, bounds, unit: point.unit(), is_guarded: true })
        });
        seen.collect()
    }

    /// A name in a formula of the procedure: what is known, or a reading so far.
    pub(super) fn value(&self, name: &str, readings: &Readings) -> Option<Vec<Quantity>> {
        self.known.value(name).or_else(|| read(name, readings))
    }

    /// A name in a formula of the circuit file: what is so, or a reading so far.
    pub(super) fn true_value(&self, name: &str, readings: &Readings) -> Option<Vec<Quantity>> {
        self.truth.value(name).or_else(|| read(name, readings))
    }

    /// How long a step lasts.
    pub(super) fn seconds(&self, stage: &Stage, step: &Step) -> f64 {
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

fn read(name: &str, readings: &Readings) -> Option<Vec<Quantity>> {
    if let Some(parts) = readings.get(name) {
        return Some(parts.values().copied().collect());
    }
    let (step, part) = name.split_once('.')?;
    Some(vec![*readings.get(step)?.get(part)?])
}

impl Seen {
    pub(super) fn is_outside(&self) -> bool {
        self.bounds.judge(&Reading::Number(self.value)).is_outside()
    }

    /// What is read, and its window, in words.
    pub(super) fn reads(&self) -> String {
        let unit = self.unit.as_ref();
        format!("{}, window {}", self.value.engineering(3, unit), self.bounds.describe(unit))
    }
}
