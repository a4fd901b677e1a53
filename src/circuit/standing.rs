//! A circuit that stands on a bench: fed and set as the bench is now, and read.

use super::answer::{CaseError, CircuitValues};
use super::engine::Engine;
use super::error::CircuitError;
use super::model::{Circuit, State, dimension};
use super::practice::readable;
use super::rail::{Rails, number};
use super::route::Route;
use super::situation::Situation;
use crate::netlist::{Case, CircuitPoint, FeedState, PlacedFault};
use crate::procedure::{Equipment, KnownValues, OutputValue, Procedure};
use crate::quantity::{Dimension, Quantity};
use crate::record::{Key, Source};

/// What a state is called in messages.
const NAME: &str = "the circuit on the simulated bench";

/// The steps in which outputs are taken that stand where no step of the procedure sets them (V): a ramp would be hundreds of states.
const RAMP_STEP_V: f64 = 1.0;

/// What a bench feeds a source of the circuit with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BenchFeed {
    /// Nothing.
    Off,
    /// An output of the supply.
    Output {
        /// What it is set to (V).
        volts: f64,
        /// Its current limit (A).
        amps: f64,
    },
    /// The mains, by this source.
    Mains(Source),
}

/// A circuit on the bench.
#[derive(Debug)]
pub struct StandingCircuit {
    circuit: Circuit,
    spoiled: Vec<PlacedFault>,
    known: KnownValues,
    engine: Engine,
    points: Vec<CircuitPoint>,
    /// The rails, by the source of the circuit file and what feeds it.
    rails: Rails,
    now: Situation,
    /// Every situation that was worked out so far.
    worked: Vec<WorkedSituation>,
    /// Which of them is the one of now.
    at: Option<usize>,
}

/// A situation, and what came of it.
#[derive(Debug)]
struct WorkedSituation {
    situation: Situation,
    case: Case,
    values: Result<CircuitValues, CaseError>,
}

impl StandingCircuit {
    /// Puts a circuit on the bench, with everything off, and works out each state that the procedure brings it into.
    ///
    /// # Errors
    /// Files that don't belong together, a fault that no part can have, no simulator, or a state without an operating point.
    pub fn new(
        circuit: Circuit,
        spoiled: Vec<PlacedFault>,
        (procedure, equipment): (&Procedure, &Equipment),
    ) -> Result<Self, CircuitError> {
        circuit.is_of(procedure)?;
        let known = KnownValues::of(procedure, Some(equipment));
        let route =
            Route::of(procedure, &circuit, [&known; 2]).map_err(CircuitError::Unworkable)?;
        let (points, engine) = (readable(&circuit), Engine::find()?);
        let Route { start: now, rails, situations, .. } = route;
        let worked = Vec::new();
        let mut standing =
            Self { circuit, spoiled, known, engine, points, rails, now, worked, at: None };
        standing.work_out(situations)?;
        match standing.worked.iter().find_map(|worked| worked.values.as_ref().err()) {
            Some(error) => Err(error.clone().into()),
            None => Ok(standing),
        }
    }

    /// Goes to a question: the controls are set that it says.
    pub fn go_to(&mut self, key: &Key) {
        for (_, control) in self.circuit.file.controls.iter() {
            let set = key.widening().find_map(|name| control.set.get(name));
            let known = |name: &str| self.known.value(name);
            let ohm = set.and_then(|set| number(set, Dimension::RESISTANCE, &known).ok());
            if let Some(ohm) = ohm.filter(|ohm| *ohm > 0.0) {
                self.now.controls.insert(control.element.value.clone(), ohm);
            }
        }
        self.look();
    }

    /// Feeds the sources of the circuit file, each by its name, and tells whether anything changed; one that it doesn't have is nothing
    /// to it.
    pub fn feed<'a>(&mut self, feeds: impl Iterator<Item = (&'a str, BenchFeed)>) -> bool {
        let mut is_new = false;
        for (name, feed) in feeds {
            let Some(now) = self.now.feeds.get_mut(name) else { continue };
            let feeding = match feed {
                BenchFeed::Output { volts, amps } if volts > 0.0 => {
                    FeedState::Limited { volts, amps }
                }
                BenchFeed::Off | BenchFeed::Output { .. } => FeedState::Off,
                BenchFeed::Mains(source) => {
                    let rail = self.rails.get(&(name.to_owned(), source));
                    rail.cloned().unwrap_or(FeedState::Off)
                }
            };
            if *now != feeding {
                *now = feeding;
                is_new = true;
            }
        }
        if is_new {
            self.look();
        }
        is_new
    }

    /// What is read at a question, as the circuit tells it. Nothing where the circuit file says nothing of it, or where nothing
    /// feeds the circuit; nothing inside where there is no operating point.
    pub fn reading(&self, key: &Key) -> Option<Option<Quantity>> {
        let known = |name: &str| self.known.value(name);
        let state = self.state()?;
        let read = self.circuit.reading(key, state, &known)?;
        Some(read.filter(|_| state.1.is_ok()))
    }

    /// What an output of the supply shows that feeds the circuit, once it has settled; nothing where that one feeds nothing.
    pub fn output(&self, name: &str, what: OutputValue) -> Option<Quantity> {
        self.now.feeds.get(name).filter(|feed| **feed != FeedState::Off)?;
        let known = |name: &str| self.known.value(name);
        self.circuit.output(name, what, self.state()?, &known)
    }

    /// What a meter shows at a point that the circuit file names, or that is written as one; nothing where nothing feeds the circuit, or where there
    /// is no operating point.
    ///
    /// # Errors
    /// There is no such point, or no meter can be put to it, in words.
    pub fn at(&self, point: &str) -> Result<Option<Quantity>, String> {
        let named = self.circuit.file.points.get(point);
        let written = named.map_or(point, |written| written.as_str());
        let point = CircuitPoint::read(written)?;
        point.is_in(&self.circuit.netlist)?;
        if !self.points.contains(&point) && !matches!(point, CircuitPoint::Voltage(..)) {
            return Err(format!(
                "no meter shows {point} on a bench: currents are those of a supply, and the drop over a resistor tells others"
            ));
        }
        let state = self.state().filter(|_| self.now.is_fed());
        let value = state.and_then(|(case, values)| values.as_ref().ok()?.of(case, &point));
        Ok(value.and_then(|value| Quantity::from_f64(value, dimension(&point))))
    }

    /// Why nothing can be read now: there is no operating point.
    pub fn trouble(&self) -> Option<String> {
        let (_, values) = self.state()?;
        values.as_ref().err().map(ToString::to_string)
    }

    /// Finds the state of now: one that the procedure comes to as it is, any other at outputs set to whole volts.
    fn look(&mut self) {
        let worked = |worked: &[WorkedSituation], wanted: &Situation| {
            worked.iter().position(|worked| worked.situation.is_like(wanted))
        };
        let rounded = self.now.rounded(RAMP_STEP_V);
        self.at = worked(&self.worked, &self.now).or_else(|| worked(&self.worked, &rounded));
        if self.at.is_some() || !rounded.is_fed() {
            return;
        }
        if let Err(error) = self.work_out(vec![rounded.clone()]) {
            // Never taken for a state of which the circuit says nothing.
            let (name, netlist) = (NAME.to_owned(), self.circuit.netlist.clone());
            let case = Case { name, netlist, feeds: Vec::new(), points: Vec::new() };
            let values = Err(CaseError::NotRun { case: NAME.to_owned(), why: error.to_string() });
            self.worked.push(WorkedSituation { situation: rounded, case, values });
        }
        self.at = self.worked.len().checked_sub(1);
    }

    fn state(&self) -> Option<State<'_>> {
        let worked = self.worked.get(self.at?)?;
        Some((&worked.case, &worked.values))
    }

    fn work_out(&mut self, situations: Vec<Situation>) -> Result<(), CircuitError> {
        let case = |situation: &Situation| {
            let stand = situation.stand(&self.circuit, &self.circuit.netlist)?;
            stand.case(NAME.to_owned(), &self.spoiled, &self.points)
        };
        let cases: Vec<_> = situations
            .iter()
            .map(case)
            .collect::<Result<_, _>>()
            .map_err(CircuitError::Unworkable)?;
        let results = self.engine.run(&cases, &|_| {})?;
        let all = situations.into_iter().zip(cases).zip(results);
        let worked =
            all.map(|((situation, case), values)| WorkedSituation { situation, case, values });
        self.worked.extend(worked);
        Ok(())
    }
}
