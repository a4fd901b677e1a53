//! Every single fault of a circuit, taken through the stages of a procedure: where it stops, and what the worst part has borne
//! until then.

mod missing;
mod outcome;
mod spoiled;
pub(super) mod stress;
#[cfg(test)]
mod tests;
mod walk;

use std::collections::BTreeSet;
use std::sync::atomic::{AtomicUsize, Ordering};

use outcome::Stop;
pub use outcome::{FaultCoverage, FaultOutcome, Worst};
pub use spoiled::Spoiled;
use spoiled::name_of;
use stress::{Gauge, gauges};
use walk::FaultWalk;

use crate::circuit::engine::Engine;
use crate::circuit::error::CircuitError;
use crate::circuit::model::Circuit;
use crate::circuit::model::asked;
use crate::circuit::route::Route;
use crate::circuit::situation::{SetCircuit, Situation};
use crate::circuit::walk::Walk;
use crate::netlist::{Case, CircuitPoint, PartFault, PlacedFault, faults_of};
use crate::procedure::{Equipment, KnownValues, Procedure};

/// The faults that the parts of a circuit have by their kinds, in the order of the file; a value only where the netlist has one.
#[must_use]
pub fn every_fault(circuit: &Circuit) -> Vec<PlacedFault> {
    let mut all = Vec::new();
    for (name, part) in circuit.file.parts.iter() {
        let has_value =
            circuit.netlist.element(name).is_some_and(|element| element.value().is_some());
        let faults = faults_of(part.kind.value).iter();
        let possible = faults.filter(|fault| has_value || !matches!(fault, PartFault::Value(_)));
        all.extend(possible.map(|fault| PlacedFault { part: name.value.clone(), fault: *fault }));
    }
    all
}

/// Takes faults through a procedure, each for itself, and the sound circuit before them.
///
/// `done` hears how many of how many operating points are worked out.
///
/// # Errors
/// Files that don't belong together, a sound circuit that is stopped, or no simulator.
pub fn cover(
    (procedure, equipment): (&Procedure, &Equipment),
    circuit: &Circuit,
    faults: Vec<Spoiled>,
    done: &(dyn Fn(usize, usize) + Sync),
) -> Result<FaultCoverage, CircuitError> {
    circuit.is_of(procedure)?;
    let known = KnownValues::of(procedure, Some(equipment));
    let route = Route::of(procedure, circuit, [&known; 2]).map_err(CircuitError::Unworkable)?;
    if route.situations.is_empty() {
        return Err(CircuitError::NeverFed);
    }
    let engine = Engine::find()?;
    let all: Vec<Spoiled> = std::iter::once(Spoiled::new()).chain(faults).collect();
    let gauges = gauges(circuit);
    let cases = cases(circuit, &route.situations, &gauges, &all)?;
    let worked = AtomicUsize::new(0);
    let results = engine.run(&cases, &|more| {
        let before = worked.fetch_add(more, Ordering::Relaxed);
        done(before + more, cases.len());
    })?;
    let walk = Walk { procedure, circuit, known: &known, truth: &known, route: &route };
    let walk = FaultWalk { walk, gauges: &gauges };
    let states: Vec<_> = cases.iter().zip(&results).collect();
    let states: Vec<_> = states.chunks(route.situations.len()).collect();
    let mut outcomes = all.iter().zip(&states).map(|(spoiled, states)| walk.take(spoiled, states));
    let sound = outcomes.next().ok_or(CircuitError::NeverFed)?;
    if let Some(error) = sound.unknown {
        return Err(CircuitError::Unworkable(error));
    }
    if let Some(Stop { step, reads, .. }) = sound.stop {
        return Err(CircuitError::SoundIsStopped { step, reads });
    }
    let outcomes: Vec<_> = outcomes.collect();
    Ok(FaultCoverage {
        missing: walk.missing(&states, &outcomes),
        cases: cases.len(),
        engine: engine.version,
        read: sound.read,
        unread: sound.unread,
        untried: untried(circuit),
        faults: outcomes,
    })
}

/// Every fault in every situation.
fn cases(
    circuit: &Circuit,
    situations: &[Situation],
    gauges: &[Gauge],
    faults: &[Spoiled],
) -> Result<Vec<Case>, CircuitError> {
    let points = points(circuit, gauges);
    let stands = situations.iter().map(|situation| situation.stand(circuit, &circuit.netlist));
    let stands: Vec<SetCircuit> =
        stands.collect::<Result<_, _>>().map_err(CircuitError::Unworkable)?;
    let mut cases = Vec::new();
    for spoiled in faults {
        let fault = if spoiled.is_empty() { "sound".to_owned() } else { name_of(spoiled) };
        for (number, stand) in stands.iter().enumerate() {
            let name = format!("{fault}, situation {}", number + 1);
            let case = stand.case(name, spoiled, &points);
            cases.push(case.map_err(CircuitError::Unworkable)?);
        }
    }
    Ok(cases)
}

/// Everything that is asked of each case: the points of the file, its sources, what the parts bear, and what could be read besides.
fn points(circuit: &Circuit, gauges: &[Gauge]) -> Vec<CircuitPoint> {
    let parts = gauges.iter().map(|gauge| gauge.point.clone());
    let more = missing::candidates(circuit);
    let all: BTreeSet<_> = asked(circuit).into_iter().chain(parts).chain(more).collect();
    all.into_iter().collect()
}

/// The elements of the netlist that no part of the file names, so that none of their faults is tried.
fn untried(circuit: &Circuit) -> Vec<String> {
    let file = &circuit.file;
    let sources: Vec<_> =
        file.sources.iter().map(|(_, source)| source.element.value.as_str()).collect();
    let is_named = |name: &str| {
        let mut parts = file.parts.iter().map(|(part, _)| part.value.as_str());
        parts.any(|part| part.eq_ignore_ascii_case(name))
            || sources.iter().any(|source| source.eq_ignore_ascii_case(name))
    };
    let names = circuit.netlist.elements().map(|element| element.name.clone());
    names.filter(|name| !is_named(name)).collect()
}
