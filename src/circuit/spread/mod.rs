//! Many sound sets, each with its parts off within their tolerances, taken through the stages of a procedure: how far each reading is
//! spread in its window, and how many are stopped though nothing is wrong.

mod levels;
mod outcome;
mod readings;
mod sampler;
mod set;
#[cfg(test)]
mod tests;
mod trim;

use std::collections::BTreeMap;

use levels::Common;
pub use levels::SpreadOrder;
use outcome::{DrawnTolerance, LostDraw, StopCount};
pub use outcome::{ReadingSpread, SoundSpread, WindowFit};
use readings::Gathered;
use sampler::SetSampler;
use set::{SetDraw, SoundSet, sound};

use crate::circuit::engine::Engine;
use crate::circuit::error::CircuitError;
use crate::circuit::model::Circuit;
use crate::circuit::walk::Seen;
use crate::procedure::{KnownValues, MAINS};
use crate::statistics::Share;

/// How many sets are in memory at a time, so that their number costs time and no memory.
const AT_A_TIME: u32 = 100;

/// Takes sound sets through a procedure, and the one without tolerances before them.
///
/// `done` hears how many of how many sets are done.
///
/// # Errors
/// Files that don't belong together, no tolerance, a sound circuit that is stopped, or no simulator.
pub fn spread(
    order: SpreadOrder<'_>,
    done: &dyn Fn(u32, u32),
) -> Result<SoundSpread, CircuitError> {
    let SpreadOrder { procedure, equipment, circuit, draws, seed } = order;
    circuit.is_of(procedure)?;
    let sampler = SetSampler::of(circuit, seed);
    let drawn = sampler.told();
    if drawn.is_empty() {
        return Err(CircuitError::NoTolerance);
    }
    let known = KnownValues::of(procedure, Some(equipment));
    unmoved(circuit, &known)?;
    let (engine, levels, slopes) = (Engine::find()?, BTreeMap::new(), BTreeMap::new());
    let mut common = Common { order, known, sampler, engine, levels, slopes };
    let SoundSet { mut cases, readings: nominal, slopes } = sound(&mut common)?;
    common.slopes = slopes;
    let mut tries = 0;
    let mut gathered: Vec<_> = nominal.iter().map(Gathered::of).collect();
    let (mut sets, mut lost) = (Vec::new(), Vec::new());
    let mut stops: BTreeMap<String, u32> = BTreeMap::new();
    let mut first = 0;
    done(0, draws);
    while first < draws {
        let last = draws.min(first + AT_A_TIME);
        let chunk: Vec<_> = (first..last).collect();
        for draw in set::worked_out(&mut common, &chunk)? {
            let SetDraw { number, drawn, readings, cases: worked, tries: tried } = draw;
            cases += worked;
            tries += tried;
            match readings {
                Err(why) => lost.push(LostDraw { draw: number + 1, why }),
                Ok(readings) => {
                    add(&mut gathered, sets.len(), &readings);
                    if let Some(stop) = readings.iter().find(|seen| seen.is_outside()) {
                        *stops.entry(stop.step.clone()).or_default() += 1;
                    }
                    sets.push(drawn);
                }
            }
        }
        first = last;
        done(first, draws);
    }
    let known_sets = u32::try_from(sets.len()).unwrap_or(u32::MAX);
    // In the order of the procedure; a step that the sound set does not have comes last.
    let place = |step: &str| gathered.iter().position(|reading| reading.is_of(step));
    let mut stopped_at: Vec<_> =
        stops.into_iter().map(|(step, count)| StopCount { step, count }).collect();
    stopped_at.sort_by_key(|stop| place(&stop.step).unwrap_or(usize::MAX));
    Ok(SoundSpread {
        draws,
        seed,
        engine: common.engine.version,
        cases,
        tries,
        undrawn: undrawn(circuit, &drawn),
        false_stops: Share::of(stopped_at.iter().map(|stop| stop.count).sum(), known_sets),
        lost,
        stopped_at,
        readings: gathered.iter().filter_map(|reading| reading.told(&drawn, &sets)).collect(),
        drawn,
    })
}

fn add(gathered: &mut Vec<Gathered>, set: usize, readings: &[Seen]) {
    for seen in readings {
        match gathered.iter_mut().find(|reading| reading.is_of(&seen.step)) {
            Some(reading) => reading.add(set, seen),
            None => {
                let mut reading = Gathered::of(seen);
                reading.add(set, seen);
                gathered.push(reading);
            }
        }
    }
}

/// A fact that moves with the mains and that nobody knows.
fn unmoved(circuit: &Circuit, known: &KnownValues) -> Result<(), CircuitError> {
    let moves = circuit.file.tolerances.get(MAINS).map_or(&[][..], |mains| &mains.moves);
    match moves.iter().find(|name| known.value(name).is_none()) {
        None => Ok(()),
        Some(name) => Err(CircuitError::Unworkable(format!(
            "circuit file, `moves`: the equipment file has no number for `{}`",
            name.value
        ))),
    }
}

/// The parts of the file of which nothing is drawn.
fn undrawn(circuit: &Circuit, drawn: &[DrawnTolerance]) -> Vec<String> {
    let is_drawn = |part: &str| {
        drawn.iter().any(|drawn| {
            let name = drawn.name.split('.').next().unwrap_or_default();
            drawn.name.eq_ignore_ascii_case(part) || name.eq_ignore_ascii_case(part)
        })
    };
    let parts = circuit.file.parts.iter().map(|(part, _)| part.value.clone());
    parts.filter(|part| !is_drawn(part)).collect()
}
