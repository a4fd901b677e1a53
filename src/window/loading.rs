//! What a meter changes by being there: it loads a voltage, stands in the way of a current, and adds its leads to a
//! resistance.

use super::accuracy::{Accuracy, AccuracyError, size};
use crate::quantity::{Dimension, Quantity};

/// The most a voltmeter draws from its source at the end of its range, and the most an ammeter takes away there: well above
/// any meter's (common practice, no source).
const DRAWN_MAX_A: f64 = 20e-3;
const BURDEN_MAX_V: f64 = 10.0;

/// Whether a meter loads what it reads: a voltage as a divider, a current as a burden.
#[must_use]
pub fn is_loaded(reads: Dimension) -> bool {
    [Dimension::VOLTAGE, Dimension::CURRENT].contains(&reads)
}

impl Accuracy {
    /// How far the reading is below what would be there without the meter, in base units; above it is negative.
    ///
    /// A voltmeter lies across its source, as a divider: reading x source / input. An ammeter lies in series with what
    /// drives the current, with its burden: reading x input / source. An ohmmeter reads its leads too. Other readings are
    /// not changed. Errors on parts that do not go with the reading.
    pub(super) fn taken_away(
        &self,
        reading: &Quantity,
        source: Option<&Quantity>,
    ) -> Result<f64, AccuracyError> {
        self.fits(reading.dimension)?;
        if let Some(leads) = &self.leads {
            return Ok(-size("leads", leads, Dimension::RESISTANCE)?);
        }
        let Some((input, source)) = self.input_resistance.as_ref().zip(source) else {
            return Ok(0.0);
        };
        let input = size("input_resistance", input, Dimension::RESISTANCE)?;
        let source = size("source_resistance", source, Dimension::RESISTANCE)?;
        match reading.dimension {
            Dimension::VOLTAGE if input > 0.0 => Ok(reading.to_f64() * source / input),
            Dimension::VOLTAGE => Err(AccuracyError::NoInputResistance),
            Dimension::CURRENT if source > 0.0 => Ok(reading.to_f64() * input / source),
            _ => Err(AccuracyError::NoSourceResistance),
        }
    }

    /// An input resistance that belongs to the other kind of range, in words: ten megohms in the way of a current are a voltmeter's.
    #[must_use]
    pub fn mistaken_input(&self) -> Option<String> {
        let (range, input) = (self.range.to_f64().abs(), self.input_resistance?);
        let shown = input.engineering_exact(None);
        let (is_mistaken, what) = match self.range.dimension {
            Dimension::VOLTAGE => (range > DRAWN_MAX_A * input.to_f64(), "short what it measures"),
            _ => (range * input.to_f64() > BURDEN_MAX_V, "be in the way of any current"),
        };
        is_mistaken.then(|| {
            format!("an `input_resistance` of {shown} would {what}: is it that of another range?")
        })
    }

    /// Whether the parts that say what the meter changes go with what it reads.
    pub(crate) fn fits(&self, reads: Dimension) -> Result<(), AccuracyError> {
        let misplaced = |part| Err(AccuracyError::Misplaced { part, reads: reads.name() });
        if self.input_resistance.is_some() && !is_loaded(reads) {
            return misplaced("input_resistance");
        }
        if self.leads.is_some() && reads != Dimension::RESISTANCE {
            return misplaced("leads");
        }
        Ok(())
    }
}
