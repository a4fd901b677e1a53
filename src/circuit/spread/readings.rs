//! The readings of all sets, gathered step by step.

use super::outcome::{DrawnTolerance, Mover, ReadingSpread, WindowFit};
use crate::circuit::walk::Seen;
use crate::quantity::{Dimension, Quantity, Unit};
use crate::statistics::{Share, quantile, rank_correlation};

/// What is outside of a spread on either side.
const BEYOND: f64 = 0.025;

/// How many deviations of chance a rank correlation has to be away from none: with a hundred parts chance itself reaches three.
const STANDS_OUT: f64 = 4.0;

/// One reading, over all sets that have it.
pub(super) struct Gathered {
    step: String,
    window: String,
    unit: Option<Unit>,
    dimension: Dimension,
    is_judged: bool,
    is_guarded: bool,
    is_moving: bool,
    values: Vec<f64>,
    /// The place of each value's set among those that are known.
    sets: Vec<usize>,
    /// How far each is from its limits, where it has them.
    below: Vec<f64>,
    above: Vec<f64>,
    outside: u32,
}

impl Gathered {
    /// A reading as the sound set has it, before any other.
    pub(super) fn of(seen: &Seen) -> Self {
        let is_judged = seen.bounds.low.is_some() || seen.bounds.high.is_some();
        Self {
            step: seen.step.clone(),
            window: seen.bounds.describe(seen.unit.as_ref()),
            unit: seen.unit.clone(),
            dimension: seen.value.dimension,
            is_judged: is_judged && !seen.bounds.record_only,
            is_guarded: seen.is_guarded,
            is_moving: false,
            values: Vec::new(),
            sets: Vec::new(),
            below: Vec::new(),
            above: Vec::new(),
            outside: 0,
        }
    }

    pub(super) fn is_of(&self, step: &str) -> bool {
        self.step == step
    }

    /// Adds the reading of a set.
    pub(super) fn add(&mut self, set: usize, seen: &Seen) {
        let value = seen.value.to_f64();
        self.values.push(value);
        self.sets.push(set);
        self.outside += u32::from(seen.is_outside());
        self.is_moving |= self.window != seen.bounds.describe(seen.unit.as_ref());
        let bounds = seen.bounds.reach();
        self.below.extend(bounds.low.map(|low| value - low.to_f64()));
        self.above.extend(bounds.high.map(|high| high.to_f64() - value));
    }

    /// What is to be told of it; nothing where no set has it.
    pub(super) fn told(
        &self,
        drawn: &[DrawnTolerance],
        sets: &[Vec<f64>],
    ) -> Option<ReadingSpread> {
        let at = |share: f64| quantile(&self.values, share);
        let (low, median, high) = (at(BEYOND)?, at(0.5)?, at(1.0 - BEYOND)?);
        let words = [low, median, high].map(|value| {
            let quantity = Quantity::from_f64(value, self.dimension);
            quantity.map(|value| value.engineering(3, self.unit.as_ref())).unwrap_or_default()
        });
        let outside = Share::of(self.outside, u32::try_from(self.values.len()).ok()?)?;
        let room = self.room();
        Some(ReadingSpread {
            step: self.step.clone(),
            quantity: self.dimension.name(),
            low,
            median,
            high,
            words,
            window: self.window.clone(),
            is_moving: self.is_moving,
            outside,
            room,
            fit: self.fit(&outside, room),
            mover: self.mover(drawn, sets),
        })
    }

    /// What is to be said of its window.
    fn fit(&self, outside: &Share, room: Option<f64>) -> WindowFit {
        match WindowFit::of(outside, room, self.is_judged) {
            WindowFit::TooWide if self.is_guarded => WindowFit::Fits,
            fit => fit,
        }
    }

    /// The least room to a limit.
    fn room(&self) -> Option<f64> {
        let room = |distances: &[f64]| {
            let (middle, end) = (quantile(distances, 0.5)?, quantile(distances, BEYOND)?);
            (middle > end).then(|| middle / (middle - end))
        };
        let sides = [&self.below, &self.above].into_iter().filter(|side| !side.is_empty());
        sides.map(|side| room(side)).reduce(|one, other| Some(one?.min(other?))).flatten()
    }

    /// What goes with it most.
    fn mover(&self, drawn: &[DrawnTolerance], sets: &[Vec<f64>]) -> Option<Mover> {
        let of = |(at, drawn): (usize, &DrawnTolerance)| {
            let column: Option<Vec<f64>> =
                self.sets.iter().map(|set| sets.get(*set)?.get(at).copied()).collect();
            let correlation = rank_correlation(&column?, &self.values)?;
            Some(Mover { name: drawn.name.clone(), correlation })
        };
        let all = drawn.iter().enumerate().filter_map(of);
        let most =
            all.max_by(|one, other| one.correlation.abs().total_cmp(&other.correlation.abs()))?;
        // By chance alone it deviates by one over the root of one less than their number.
        let count = f64::from(u32::try_from(self.values.len()).ok()?);
        (most.correlation.abs() * (count - 1.0).sqrt() > STANDS_OUT).then_some(most)
    }
}
