//! Facts about the bench: its meters and what their data sheets promise.

use serde::Deserialize;

use super::{At, Ordered};
use crate::quantity::{Quantity, Unit};
use crate::window::{Accuracy, Conditions};

/// The bench a run is carried out on.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BenchFile {
    /// Number of the file format: 1.
    pub format: At<u32>,
    /// Which bench.
    pub bench: At<String>,
    /// The temperature of the room; within the span of each meter where it is not given.
    pub ambient: Option<Celsius>,
    /// The instruments by their names.
    pub instruments: Ordered<Instrument>,
}

/// An instrument that measures.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Instrument {
    /// What it is.
    pub what: At<String>,
    /// Its serial number or the shop's own mark.
    pub serial: At<String>,
    /// Until when its calibration holds.
    pub calibration_due: Option<At<String>>,
    /// What it measures, and how well on each range.
    pub functions: Ordered<Vec<Accuracy>>,
}

/// A temperature on the Celsius scale.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(transparent)]
pub struct Celsius(At<String>);

impl Celsius {
    /// The temperature, if it is written as one.
    #[must_use]
    pub fn quantity(&self) -> Option<Quantity> {
        let unit = Unit::parse("degC").ok()?;
        Quantity::parse_as(&self.0.value, &unit).ok()
    }
}

/// A function of one instrument.
#[derive(Clone, Copy, Debug)]
pub struct Meter<'a> {
    /// The instrument.
    pub instrument: &'a Instrument,
    /// What the function promises on each range.
    pub ranges: &'a [Accuracy],
}

impl BenchFile {
    /// Finds the first instrument that has a function of this name.
    #[must_use]
    pub fn meter(&self, function: &str) -> Option<Meter<'_>> {
        self.instruments.iter().find_map(|(_, instrument)| {
            let ranges = instrument.functions.get(function)?;
            Some(Meter { instrument, ranges })
        })
    }

    /// What an accuracy depends on beside the reading.
    #[must_use]
    pub fn conditions(&self, source_resistance: Option<Quantity>) -> Conditions {
        let ambient = self.ambient.as_ref().and_then(Celsius::quantity);
        Conditions { ambient, source_resistance }
    }
}

impl Meter<'_> {
    /// The instrument in one line, for a record.
    #[must_use]
    pub fn words(&self) -> String {
        let due = self.instrument.calibration_due.as_ref();
        let due = due.map(|due| format!(", calibration due {}", due.value)).unwrap_or_default();
        format!("{}, serial {}{due}", *self.instrument.what, *self.instrument.serial)
    }
}
