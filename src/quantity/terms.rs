//! An uncertainty, kept by what causes it.

use std::collections::BTreeMap;
use std::num::NonZeroU32;

use super::input::Input;

/// What each input adds to the uncertainty of a value: sensitivity times standard uncertainty, with
/// its sign, in base units.
///
/// The sign is what keeps two values that share an input exactly correlated: in their difference
/// the shared part goes away.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Terms {
    by_input: BTreeMap<Input, f64>,
}

/// Binary noise in a ratio of sums, which must not make a whole number of degrees of freedom one
/// less.
const NOISE: f64 = 1e-12;

impl Terms {
    /// The uncertainty of an exact value: none.
    pub const NONE: Terms = Terms { by_input: BTreeMap::new() };

    /// Makes the terms of a value that one input alone makes uncertain.
    pub fn of(input: Input, standard: f64) -> Terms {
        let mut terms = Terms::NONE;
        terms.add(input, standard);
        terms
    }

    /// Gives the terms of a linear combination: every part times its slope, summed input by input.
    pub fn linear<'a>(parts: impl IntoIterator<Item = (f64, &'a Terms)>) -> Terms {
        let mut sum = Terms::NONE;
        for (slope, terms) in parts {
            for (input, term) in &terms.by_input {
                sum.add(input.clone(), slope * term);
            }
        }
        sum
    }

    /// Adds to what an input contributes; what cancels is no term any more.
    pub fn add(&mut self, input: Input, term: f64) {
        let sum = self.term(&input) + term;
        if sum == 0.0 {
            self.by_input.remove(&input);
        } else {
            self.by_input.insert(input, sum);
        }
    }

    /// What an input contributes; 0 for one that is none of them.
    pub fn term(&self, input: &Input) -> f64 {
        self.by_input.get(input).copied().unwrap_or_default()
    }

    /// Lists every input with its term.
    pub fn iter(&self) -> impl Iterator<Item = (&Input, f64)> {
        self.by_input.iter().map(|(input, term)| (input, *term))
    }

    /// Whether there is no uncertainty.
    pub fn is_empty(&self) -> bool {
        self.by_input.is_empty()
    }

    /// Whether every term is a finite number.
    pub fn is_finite(&self) -> bool {
        self.by_input.values().all(|term| term.is_finite())
    }

    /// The standard uncertainty of independent inputs: the root of the sum of squares (GUM 5.1.2).
    pub fn standard_uncertainty(&self) -> f64 {
        self.by_input.values().map(|term| term * term).sum::<f64>().sqrt()
    }

    /// The effective degrees of freedom (GUM G.4.1, Welch and Satterthwaite), truncated down as the
    /// GUM asks; `None` for infinitely many.
    ///
    /// The formula is for independent inputs.
    pub fn effective_freedom(&self) -> Option<NonZeroU32> {
        let doubt = |(input, term): (&Input, f64)| {
            input.freedom().map_or(0.0, |freedom| term.powi(4) / f64::from(freedom.get()))
        };
        let doubt = self.iter().map(doubt).sum::<f64>();
        let freedom = self.standard_uncertainty().powi(4) / doubt;
        // Without any doubt this is infinite, or zero by zero.
        if !freedom.is_finite() {
            return None;
        }
        // The conversion cuts off the fraction and keeps to the largest number there is.
        Some(NonZeroU32::new((freedom * (1.0 + NOISE)) as u32).unwrap_or(NonZeroU32::MIN))
    }
}
