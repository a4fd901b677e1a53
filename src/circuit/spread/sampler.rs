//! What is off in one sound set, drawn by its number: the same whatever is drawn beside it, on whichever core.

use chacha20::ChaCha20Rng;
use chacha20::rand_core::{Rng as _, SeedableRng as _};

use super::outcome::DrawnTolerance;
use crate::circuit::model::Circuit;
use crate::netlist::OffValue;
use crate::procedure::{MAINS, SpreadShape, TolerancedPart};
use crate::statistics::cut_bell;

/// How many standard deviations of a bell lie within a tolerance; common practice, no source: makers sort out what lies beyond.
const BELL_REACH: f64 = 3.0;

/// The steps in which the mains is drawn, of its value: the rails are worked out once for each.
const MAINS_STEP: f64 = 0.005;

/// Draws sets.
#[derive(Debug)]
pub(super) struct SetSampler {
    seed: u64,
    tolerances: Vec<PartDraw>,
}

/// One thing that is drawn.
#[derive(Debug)]
struct PartDraw {
    /// The part; none for the mains.
    part: Option<TolerancedPart>,
    within: f64,
    shape: SpreadShape,
    /// Whether it is of this one part, and not of all of a kind.
    is_named: bool,
}

impl SetSampler {
    /// Takes the tolerances of a circuit file, in their order; that of a part goes before that of its kind.
    pub(super) fn of(circuit: &Circuit, seed: u64) -> Self {
        let mut tolerances: Vec<PartDraw> = Vec::new();
        for (key, tolerance) in circuit.file.tolerances.iter() {
            let Some(within) = tolerance.share() else { continue };
            let shape = tolerance.shape.as_ref().map(|shape| shape.value).unwrap_or_default();
            let draw = |part, is_named| PartDraw { part, within, shape, is_named };
            if key.value == MAINS {
                tolerances.push(draw(None, true));
                continue;
            }
            for part in circuit.file.toleranced(key, &circuit.netlist) {
                let begin = part.element.to_ascii_lowercase();
                let is_named = key.value.to_ascii_lowercase().starts_with(&begin);
                let new = draw(Some(part), is_named);
                match tolerances.iter_mut().find(|old| old.part == new.part) {
                    Some(old) if old.is_named && !new.is_named => {}
                    Some(old) => *old = new,
                    None => tolerances.push(new),
                }
            }
        }
        Self { seed, tolerances }
    }

    /// What is drawn.
    pub(super) fn told(&self) -> Vec<DrawnTolerance> {
        let told = |draw: &PartDraw| DrawnTolerance {
            name: draw.name(),
            within: draw.within,
            shape: draw.shape,
        };
        self.tolerances.iter().map(told).collect()
    }

    /// How far everything is off in the set of this number, as a part of its value, in the order of `told`.
    pub(super) fn draw(&self, number: u32) -> Vec<f64> {
        let mut generator = ChaCha20Rng::seed_from_u64(self.seed);
        generator.set_stream(u64::from(number));
        let one = |draw: &PartDraw| {
            let share = (f64::from(generator.next_u32()) + 0.5) / (f64::from(u32::MAX) + 1.0);
            let off = draw.within
                * match draw.shape {
                    SpreadShape::Even => 2.0 * share - 1.0,
                    SpreadShape::Bell => cut_bell(share, BELL_REACH) / BELL_REACH,
                };
            if draw.part.is_some() { off } else { (off / MAINS_STEP).round() * MAINS_STEP }
        };
        self.tolerances.iter().map(one).collect()
    }

    /// The parts that are off, by what was drawn.
    pub(super) fn values(&self, drawn: &[f64]) -> Vec<OffValue> {
        let value = |(draw, off): (&PartDraw, &f64)| {
            let TolerancedPart { element, parameter } = draw.part.clone()?;
            Some(OffValue { element, parameter, factor: 1.0 + off })
        };
        self.tolerances.iter().zip(drawn).filter_map(value).collect()
    }

    /// How far the mains is off, by what was drawn.
    pub(super) fn mains(&self, drawn: &[f64]) -> f64 {
        let mut all = self.tolerances.iter().zip(drawn);
        all.find(|(draw, _)| draw.part.is_none()).map_or(0.0, |(_, off)| *off)
    }
}

impl PartDraw {
    fn name(&self) -> String {
        match &self.part {
            None => MAINS.to_owned(),
            Some(TolerancedPart { element, parameter: None }) => element.clone(),
            Some(TolerancedPart { element, parameter: Some(parameter) }) => {
                format!("{element}.{parameter}")
            }
        }
    }
}
