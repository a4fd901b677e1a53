//! A value with its uncertainty.

use std::num::NonZeroU32;

use super::dimension::Dimension;
use super::input::{Input, Shape};
use super::quantity::Quantity;
use super::spread::Spread;
use super::terms::Terms;

/// A quantity with its uncertainty, kept by the inputs that cause it.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// The value.
    pub value: Quantity,
    /// What makes it uncertain; nothing for an exact value.
    pub terms: Terms,
    /// How the true value is spread about it.
    pub spread: Spread,
}

impl Estimate {
    /// Takes a value as exact.
    pub const fn exact(value: Quantity) -> Estimate {
        Estimate { value, terms: Terms::NONE, spread: Spread::ByTerms }
    }

    /// Averages repeated readings of one thing; `None` for fewer than two, or of different things.
    ///
    /// The uncertainty is their own scatter, s / root n with n - 1 degrees of freedom (GUM 4.2.3).
    pub fn average(name: impl Into<String>, readings: &[Quantity]) -> Option<Estimate> {
        let [first, _, ..] = readings else { return None };
        if readings.iter().any(|reading| reading.dimension != first.dimension) {
            return None;
        }
        let count = readings.len() as f64;
        let mean = readings.iter().map(Quantity::to_f64).sum::<f64>() / count;
        let squares = readings.iter().map(|reading| (reading.to_f64() - mean).powi(2));
        let variance = squares.sum::<f64>() / (count - 1.0) / count;
        let freedom = u32::try_from(readings.len() - 1).ok().and_then(NonZeroU32::new);
        let input = Input::new(name, Shape::Normal).with_freedom(freedom);
        let value = Quantity::from_f64(mean, first.dimension)?;
        Some(Estimate::exact(value).with(input, variance.sqrt()))
    }

    /// Adds an input by its standard uncertainty, in base units.
    #[must_use]
    pub fn with(mut self, input: Input, standard: f64) -> Estimate {
        self.terms.add(input, standard);
        self
    }

    /// Adds an input of a bounded shape by the half-width between its bounds, in base units.
    ///
    /// The bell curve has no bounds: for it the half-width is taken as one standard uncertainty.
    #[must_use]
    pub fn with_bounds(self, name: impl Into<String>, shape: Shape, half_width: f64) -> Estimate {
        let standard = half_width / shape.divisor().unwrap_or(1.0);
        self.with(Input::new(name, shape), standard)
    }

    /// Gives a value that is, near enough, a linear combination of others, each with its slope.
    pub fn linear<'a>(
        value: Quantity,
        parts: impl IntoIterator<Item = (f64, &'a Estimate)>,
    ) -> Estimate {
        let parts: Vec<_> = parts.into_iter().collect();
        let is_by_terms = parts.iter().all(|(_, part)| part.spread == Spread::ByTerms);
        let spread = if is_by_terms { Spread::ByTerms } else { Spread::Unknown };
        let terms = parts.into_iter().map(|(slope, part)| (slope, &part.terms));
        Estimate { value, terms: Terms::linear(terms), spread }
    }

    /// The standard uncertainty in base units, for independent inputs.
    pub fn standard_uncertainty(&self) -> f64 {
        self.terms.standard_uncertainty()
    }

    /// What the uncertainty measures: that of the value, and K for a Celsius temperature.
    pub fn spread_dimension(&self) -> Dimension {
        let dimension = self.value.dimension;
        dimension.minus(dimension).unwrap_or(dimension)
    }
}
