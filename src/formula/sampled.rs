//! Uncertainty that does not go through a formula in a straight line.
//!
//! The slopes of a formula tell its uncertainty only where it is as good as straight over the reach of its inputs. Where
//! it is not, the inputs are drawn at random and the formula is worked out for each draw (JCGM 101:2008). The draws are the
//! same every time, so that a record plays again to the same end.

use std::collections::{BTreeMap, BTreeSet};

use super::Formula;
use crate::quantity::random::Random;
use crate::quantity::{Estimate, Input, Quantity, Shape, Spread, Terms};

/// How many draws: the interval's share of 95 % comes out to half of one per cent.
const DRAWS: usize = 2000;

/// The level of the interval that the draws are measured by.
const LEVEL: f64 = 0.95;

/// Where the draws begin.
const SEED: u64 = 0x6A43_474D_0101;

/// Half-width at 95 % of a bell curve, in standard uncertainties.
const BELL: f64 = 1.959_964;

/// How far the result may be from the straight line, in standard uncertainties, with one input at its bounds and with all
/// of them there: less than a tenth goes amiss in the interval then (tried on 1/x, squares, products and roots).
const ONE_ASTRAY: f64 = 0.2;
const ALL_ASTRAY: f64 = 0.5;

/// A formula with its inputs and what a straight line makes of them.
pub(super) struct Curve<'a> {
    formula: &'a Formula,
    names: BTreeMap<&'a str, Vec<Estimate>>,
    straight: &'a Estimate,
}

impl<'a> Curve<'a> {
    pub(super) fn of(
        formula: &'a Formula,
        of: &impl Fn(&str) -> Option<Vec<Estimate>>,
        straight: &'a Estimate,
    ) -> Curve<'a> {
        let names = formula.names().into_iter().filter_map(|(name, _)| Some((name, of(name)?)));
        Curve { formula, names: names.collect(), straight }
    }

    /// The result: along the straight line where it holds, and else as wide as the draws are, and spread as they are.
    ///
    /// What is worked out from draws is drawn along the straight line of them, which tells its width and not its spread.
    pub(super) fn estimate(&self) -> Estimate {
        let value = self.straight.value;
        let inputs = self.inputs();
        let is_by_terms =
            self.names.values().flatten().all(|estimate| estimate.spread == Spread::ByTerms);
        if inputs.is_empty() || self.is_straight(&inputs) {
            let spread = if is_by_terms { Spread::ByTerms } else { Spread::Unknown };
            return Estimate { value, terms: self.straight.terms.clone(), spread };
        }
        let (draws, by_line) = self.draws(&inputs);
        let terms = self.as_wide(half_width(&draws), held_by(by_line));
        let spread = if is_by_terms { Spread::Drawn(draws.into()) } else { Spread::Unknown };
        Estimate { value, terms, spread }
    }

    /// The terms of the straight line, made as wide as the draws are.
    fn as_wide(&self, drawn: f64, by_line: f64) -> Terms {
        if by_line > 0.0 {
            return Terms::linear([((drawn / by_line).max(1.0), &self.straight.terms)]);
        }
        let input = Input::new(format!("{}, not straight", self.formula), Shape::Normal);
        Terms::of(input, drawn / BELL)
    }

    fn inputs(&self) -> BTreeSet<&Input> {
        let estimates = self.names.values().flatten();
        estimates.flat_map(|estimate| estimate.terms.iter().map(|(input, _)| input)).collect()
    }

    /// Whether the result stays near the line with each input at its bounds, and with all of them together.
    fn is_straight(&self, inputs: &BTreeSet<&Input>) -> bool {
        let standard = self.straight.standard_uncertainty();
        let slope = |input: &Input| self.straight.terms.term(input);
        let reach = |input: &Input| input.shape().divisor().unwrap_or(2.0);
        let astray = |at: &BTreeMap<&Input, f64>| {
            let line: f64 = at.iter().map(|(input, by)| slope(input) * by).sum();
            self.result(at).map_or(f64::INFINITY, |result| (result - line).abs())
        };
        let mut one = 0.0;
        for input in inputs {
            let end = |by: f64| astray(&BTreeMap::from([(*input, by)]));
            one += end(reach(input)).max(end(-reach(input)));
        }
        let all = [1.0, -1.0].map(|side| {
            let up = |input: &Input| if slope(input) < 0.0 { -side } else { side };
            astray(&inputs.iter().map(|input| (*input, up(input) * reach(input))).collect())
        });
        let noise = 1e-9 * self.straight.value.to_f64().abs();
        one <= ONE_ASTRAY * standard + noise
            && all.into_iter().all(|astray| astray <= ALL_ASTRAY * standard + noise)
    }

    /// How far each draw is from the value through the formula, and how far away along the line.
    fn draws(&self, inputs: &BTreeSet<&Input>) -> (Vec<Option<f64>>, Vec<f64>) {
        let mut random = Random::new(SEED);
        let (mut drawn, mut by_line) = (Vec::new(), Vec::new());
        for _ in 0..DRAWS {
            let at: BTreeMap<&Input, f64> =
                inputs.iter().map(|input| (*input, random.draw_input(input))).collect();
            let line = at.iter().map(|(input, by)| self.straight.terms.term(input) * by);
            by_line.push(line.sum::<f64>().abs());
            drawn.push(self.result(&at));
        }
        (drawn, by_line)
    }

    /// How far the result moves with inputs moved by so many standard uncertainties; `None` where there is no result.
    fn result(&self, at: &BTreeMap<&Input, f64>) -> Option<f64> {
        let moved = |estimate: &Estimate| {
            let mut by = 0.0;
            for (input, term) in estimate.terms.iter() {
                by += term * at.get(input).copied().unwrap_or_default();
            }
            Quantity::from_f64(estimate.value.to_f64() + by, estimate.value.dimension)
        };
        let of = |name: &str| self.names.get(name)?.iter().map(moved).collect();
        let result = self.formula.evaluate(&of).ok()?;
        Some(result.to_f64() - self.straight.value.to_f64())
    }
}

/// The half-width about the value that holds the wanted share of the draws.
///
/// A draw for which there is no result counts as far away as the furthest that has one.
fn half_width(draws: &[Option<f64>]) -> f64 {
    let furthest = draws.iter().flatten().fold(0.0, |far: f64, number| far.max(number.abs()));
    held_by(draws.iter().map(|draw| draw.map_or(furthest, f64::abs)).collect())
}

/// The size that holds the wanted share of all.
fn held_by(mut sizes: Vec<f64>) -> f64 {
    sizes.sort_by(f64::total_cmp);
    let place = (LEVEL * sizes.len() as f64).ceil() as usize;
    sizes.get(place.saturating_sub(1)).copied().unwrap_or_default()
}
