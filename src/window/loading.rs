//! What a meter changes by being there: it loads a voltage, stands in the way of a current, and adds its leads to a
//! resistance.

use super::accuracy::{Accuracy, AccuracyError, size};
use crate::quantity::{Dimension, Quantity};

/// How well the change is known, as a part of it: both resistances are taken to be within 5 % (common practice, no
/// source).
pub const LOADING_LEFT: f64 = 0.1;

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

    /// Whether the parts that say what the meter changes go with what it reads.
    pub(crate) fn fits(&self, reads: Dimension) -> Result<(), AccuracyError> {
        let is_loading = [Dimension::VOLTAGE, Dimension::CURRENT].contains(&reads);
        let misplaced = |part| Err(AccuracyError::Misplaced { part, reads: reads.name() });
        if self.input_resistance.is_some() && !is_loading {
            return misplaced("input_resistance");
        }
        if self.leads.is_some() && reads != Dimension::RESISTANCE {
            return misplaced("leads");
        }
        Ok(())
    }
}
