//! What all sets have in common: the files, the simulator, and what is so at each voltage of the mains.

use std::collections::BTreeMap;

use super::sampler::SetSampler;
use super::trim::Aimed;
use crate::circuit::engine::Engine;
use crate::circuit::error::CircuitError;
use crate::circuit::model::Circuit;
use crate::circuit::route::Route;
use crate::circuit::walk::Walk;
use crate::procedure::{Equipment, KnownValues, MAINS, Procedure};

/// What is rehearsed: the files, and how many sets from which seed.
#[derive(Clone, Copy, Debug)]
pub struct SpreadOrder<'a> {
    /// The procedure.
    pub procedure: &'a Procedure,
    /// Its equipment.
    pub equipment: &'a Equipment,
    /// The circuit of that.
    pub circuit: &'a Circuit,
    /// How many sets.
    pub draws: u32,
    /// What they are drawn from.
    pub seed: u64,
}

/// What every set has in common.
pub(super) struct Common<'a> {
    pub(super) order: SpreadOrder<'a>,
    pub(super) known: KnownValues,
    pub(super) sampler: SetSampler,
    pub(super) engine: Engine,
    /// The rails, by how many thousandths the mains is off.
    pub(super) levels: BTreeMap<i32, MainsLevel>,
    /// How steeply what is shown follows each control of the sound circuit.
    pub(super) slopes: BTreeMap<Aimed, f64>,
}

/// What is so at one voltage of the mains.
pub(super) struct MainsLevel {
    pub(super) truth: KnownValues,
    pub(super) route: Route,
}

impl<'a> Common<'a> {
    pub(super) fn walk<'b>(&'b self, level: &'b MainsLevel) -> Walk<'b> {
        let (procedure, circuit) = (self.order.procedure, self.order.circuit);
        let MainsLevel { truth, route } = level;
        Walk { procedure, circuit, known: &self.known, truth, route }
    }

    /// Works out what is so with the mains off by so much each, once for each voltage.
    pub(super) fn see_levels(&mut self, offs: &[f64]) -> Result<(), CircuitError> {
        let mut new: Vec<f64> = Vec::new();
        for off in offs {
            let is_known = |new: &f64| thousandths(*new) == thousandths(*off);
            if !self.levels.contains_key(&thousandths(*off)) && !new.iter().any(is_known) {
                new.push(*off);
            }
        }
        let seen = self.engine.on_all_cores(&new, |_, off| self.seen_level(*off))?;
        self.levels.extend(new.iter().map(|off| thousandths(*off)).zip(seen));
        Ok(())
    }

    fn seen_level(&self, off: f64) -> Result<MainsLevel, CircuitError> {
        let (procedure, circuit) = (self.order.procedure, self.order.circuit);
        let moves = circuit.file.tolerances.get(MAINS).map_or(&[][..], |mains| &mains.moves);
        let is_moved = |name: &str| moves.iter().any(|moved| moved.value == name);
        let times = |name: &str| if is_moved(name) { 1.0 + off } else { 1.0 };
        let truth = KnownValues::moved(procedure, Some(self.order.equipment), &times);
        let route = Route::of(procedure, circuit, [&self.known, &truth]);
        let route = route.map_err(CircuitError::Unworkable)?;
        if route.situations.is_empty() {
            return Err(CircuitError::NeverFed);
        }
        Ok(MainsLevel { truth, route })
    }

    pub(super) fn level(&self, off: f64) -> Result<&MainsLevel, CircuitError> {
        self.levels.get(&thousandths(off)).ok_or(CircuitError::NeverFed)
    }
}

/// How many thousandths a part of the mains is.
fn thousandths(off: f64) -> i32 {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "less than a thousand, as the mains is off by less than all of it"
    )]
    let thousandths = (1e3 * off).round() as i32;
    thousandths
}
