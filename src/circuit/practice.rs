//! What a circuit tells of a practice: where the procedure stops on the hidden fault, what the parts bore in the time that it was
//! fed, and whether what was said could be told from it.

use std::collections::{BTreeMap, BTreeSet};

use super::answer::CircuitValues;
use super::coverage::stress::{Borne, gauges};
use super::coverage::{Spoiled, cover};
use super::engine::Engine;
use super::error::CircuitError;
use super::model::{Circuit, asked, dimension};
use super::route::Route;
use crate::netlist::{Case, CircuitPoint, is_ground};
use crate::practice::StepTime;
use crate::procedure::{Equipment, KnownValues, Procedure};
use crate::quantity::Dimension;
use crate::record::{BornePart, Key};

/// What a meter on a bench still tells apart: a part of the value, and besides that so many volts or amperes. Common practice, no source.
const TOLD_APART: f64 = 0.02;
const TOLD_APART_V: f64 = 2e-3;
const TOLD_APART_A: f64 = 20e-6;

/// What a circuit tells of a practice.
#[derive(Clone, Debug, PartialEq)]
pub struct ToldOfHidden {
    /// Where the procedure stops, when every reading is taken as it is.
    pub stop: Option<Key>,
    /// What is outside its window, if nobody stops.
    pub signs: Vec<Key>,
    /// The part that bore most for its rating in the time that it was fed.
    pub worst: Option<BornePart>,
    /// Whether nothing that can be read, where it was fed, tells what was said from what is hidden.
    pub is_alike: bool,
}

/// The points that a person can put a meter to: those of the file, what its sources deliver, and every node.
pub(super) fn readable(circuit: &Circuit) -> Vec<CircuitPoint> {
    let nodes = circuit.netlist.nodes().into_iter().filter(|node| !is_ground(node));
    let nodes = nodes.map(|node| CircuitPoint::Voltage(node.to_owned(), "0".to_owned()));
    let all: BTreeSet<_> = asked(circuit).into_iter().chain(nodes).collect();
    all.into_iter().collect()
}

/// Tells what there is to tell. What was said is nothing where nobody said anything.
///
/// # Errors
/// Files that don't belong together, a sound circuit that is stopped, no simulator, or no operating point.
pub fn tell(
    (procedure, equipment): (&Procedure, &Equipment),
    circuit: &Circuit,
    hidden: &Spoiled,
    said: Option<&Spoiled>,
    live: &[StepTime],
) -> Result<ToldOfHidden, CircuitError> {
    let covered = cover((procedure, equipment), circuit, vec![hidden.clone()], &|_, _| {})?;
    let outcome = covered.faults.into_iter().next().filter(|_| !hidden.is_empty());
    // A guard stands in brackets behind the step that it is told of.
    let key = |step: String| Key::from(step.split(" (").next().unwrap_or_default());
    let (stop, signs) = outcome.map(|outcome| (outcome.stop, outcome.signs)).unwrap_or_default();
    let bench = Fed::of(procedure, equipment, circuit, live)?;
    Ok(ToldOfHidden {
        stop: stop.map(|stop| key(stop.step)),
        signs: signs.into_iter().map(|sign| key(sign.step)).collect(),
        worst: bench.worst(hidden)?,
        is_alike: match said {
            Some(said) => said == hidden || bench.is_alike(hidden, said)?,
            None => false,
        },
    })
}

/// Tells whether a fault has an operating point in every state that the procedure brings the circuit into.
///
/// # Errors
/// As [`tell`], except for a state without an operating point.
pub fn has_values(
    (procedure, equipment): (&Procedure, &Equipment),
    circuit: &Circuit,
    hidden: &Spoiled,
) -> Result<bool, CircuitError> {
    cover((procedure, equipment), circuit, vec![hidden.clone()], &|_, _| {})?;
    let steps = procedure.steps().enumerate();
    let everywhere: Vec<_> = steps.map(|(step, _)| StepTime { step, seconds: 0.0 }).collect();
    let bench = Fed::of(procedure, equipment, circuit, &everywhere)?;
    match bench.values(hidden, &readable(circuit)) {
        Ok(_) => Ok(true),
        Err(CircuitError::Case(_)) => Ok(false),
        Err(other) => Err(other),
    }
}

/// A circuit in the states in which it was fed.
struct Fed<'a> {
    circuit: &'a Circuit,
    engine: Engine,
    route: Route,
    /// How long each state lasted (s), by its place in the route.
    lasted: BTreeMap<usize, f64>,
}

impl<'a> Fed<'a> {
    fn of(
        procedure: &Procedure,
        equipment: &Equipment,
        circuit: &'a Circuit,
        live: &[StepTime],
    ) -> Result<Self, CircuitError> {
        let known = KnownValues::of(procedure, Some(equipment));
        let route = Route::of(procedure, circuit, [&known; 2]).map_err(CircuitError::Unworkable)?;
        let mut lasted: BTreeMap<usize, f64> = BTreeMap::new();
        for time in live {
            let Some(situation) = route.places.get(time.step).and_then(|at| at.situation) else {
                continue;
            };
            *lasted.entry(situation).or_default() += time.seconds;
        }
        Ok(Self { circuit, engine: Engine::find()?, route, lasted })
    }

    /// The values of a fault in each state, with the case that they are of.
    fn values(
        &self,
        spoiled: &Spoiled,
        points: &[CircuitPoint],
    ) -> Result<Vec<(Case, CircuitValues)>, CircuitError> {
        let mut cases = Vec::new();
        for situation in self.lasted.keys() {
            let Some(situation) = self.route.situations.get(*situation) else { continue };
            let stand = situation.stand(self.circuit, &self.circuit.netlist);
            let case = stand.and_then(|stand| stand.case(NAME.to_owned(), spoiled, points));
            cases.push(case.map_err(CircuitError::Unworkable)?);
        }
        let results = self.engine.run(&cases, &|_| {})?;
        let values = cases.into_iter().zip(results).map(|(case, values)| Ok((case, values?)));
        values.collect()
    }

    /// The part that bore most for its rating.
    fn worst(&self, hidden: &Spoiled) -> Result<Option<BornePart>, CircuitError> {
        if self.lasted.is_empty() {
            return Ok(None);
        }
        let gauges = gauges(self.circuit);
        let points: Vec<_> = gauges.iter().map(|gauge| gauge.point.clone()).collect();
        let mut borne = Borne::new(&gauges, hidden);
        let values = self.values(hidden, &points)?;
        for ((case, values), seconds) in values.into_iter().zip(self.lasted.values()) {
            borne.last((&case, &Ok(values)), *seconds);
        }
        Ok(borne.worst_part())
    }

    /// Whether two faults read the same wherever a meter can be put.
    fn is_alike(&self, one: &Spoiled, other: &Spoiled) -> Result<bool, CircuitError> {
        let points = readable(self.circuit);
        let pairs = self.values(one, &points)?.into_iter().zip(self.values(other, &points)?);
        let mut is_alike = !self.lasted.is_empty();
        for ((case, values), (other_case, other_values)) in pairs {
            is_alike &= points.iter().all(|point| {
                let read = [values.of(&case, point), other_values.of(&other_case, point)];
                match read {
                    [Some(one), Some(other)] => is_near(point, one, other),
                    [one, other] => one.is_none() && other.is_none(),
                }
            });
        }
        Ok(is_alike)
    }
}

/// What a state is called in messages: never by its fault.
const NAME: &str = "the circuit of the practice";

/// Whether a meter tells two values of a point apart.
fn is_near(point: &CircuitPoint, one: f64, other: f64) -> bool {
    let least = if dimension(point) == Dimension::CURRENT { TOLD_APART_A } else { TOLD_APART_V };
    (one - other).abs() <= TOLD_APART * one.abs().max(other.abs()) + least
}
