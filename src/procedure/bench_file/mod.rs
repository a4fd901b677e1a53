//! Facts about the bench: its instruments, how they are reached, and what their data sheets promise.

mod address;
mod calibration;
mod channel;
mod connection;
mod dialect;
mod value_place;

use serde::Deserialize;

pub use address::Address;
pub use calibration::{Day, Overdue, OverduePolicy};
pub use channel::{Channel, Protection};
pub use connection::{Connection, Terminator};
pub use dialect::{ConstantCurrent, Dialect, Watchdog};
pub use value_place::fill_value;

use super::act::milliseconds;
use super::{At, Ordered, Point};
use crate::quantity::{Estimate, Quantity, Unit};
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
    /// What the shop does about an instrument whose calibration has run out (default: a second person has to accept it).
    #[serde(default)]
    pub overdue: OverduePolicy,
    /// How long results stand in this shop before their stages are taken again; the shorter time of this and the
    /// procedure's counts.
    pub results_stand_for: Option<WrittenSpan>,
    /// The instruments by their names.
    pub instruments: Ordered<Instrument>,
}

/// What an instrument is on the bench for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// It measures.
    #[default]
    Meter,
    /// It feeds the equipment.
    Supply,
    /// It loads the equipment.
    Load,
    /// It shows waveforms.
    Scope,
    /// It measures what is drawn from the mains.
    PowerMeter,
    /// It switches the mains to the equipment.
    MainsSwitch,
}

/// An instrument.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Instrument {
    /// What it is.
    pub what: At<String>,
    /// Its serial number or the shop's own mark.
    pub serial: At<String>,
    /// The last day on which its calibration holds.
    pub calibration_due: Option<At<Day>>,
    /// What it is there for (default: to measure).
    #[serde(default)]
    pub role: Role,
    /// What it measures, and how well on each range.
    #[serde(default)]
    pub functions: Ordered<Vec<Accuracy>>,
    /// The outputs of a supply, by the names procedures use.
    #[serde(default)]
    pub channels: Ordered<Channel>,
    /// How the program reaches it; without one a person reads it and sets it.
    pub connection: Option<Connection>,
}

/// A span of time.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(transparent)]
pub struct WrittenSpan(pub(in crate::procedure) At<String>);

impl WrittenSpan {
    /// The span (ms), if it is written as one that is longer than nothing.
    #[must_use]
    pub fn ms(&self) -> Option<u64> {
        let unit = Unit::parse("s").ok()?;
        let time = Quantity::parse_as(&self.0.value, &unit).ok()?;
        milliseconds(&time).ok().filter(|ms| *ms > 0)
    }
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
    /// The instrument's name on the bench.
    pub name: &'a str,
    /// The instrument.
    pub instrument: &'a Instrument,
    /// What the function promises on each range.
    pub ranges: &'a [Accuracy],
}

impl BenchFile {
    /// How long results stand in this shop (ms), where it says so.
    #[must_use]
    pub fn results_stand_ms(&self) -> Option<u64> {
        self.results_stand_for.as_ref()?.ms()
    }

    /// Finds the first instrument that has a function of this name.
    #[must_use]
    pub fn meter(&self, function: &str) -> Option<Meter<'_>> {
        self.instruments.iter().find_map(|(name, instrument)| {
            let ranges = instrument.functions.get(function)?;
            Some(Meter { name: &name.value, instrument, ranges })
        })
    }

    /// Finds the instrument that the program itself reads this point from, with its name on the bench.
    #[must_use]
    pub fn connected(&self, point: &Point) -> Option<(&str, &Instrument)> {
        let (name, instrument) = match point {
            Point::Output { channel, .. } => self.supply(channel)?,
            Point::Function(function) => {
                // The first one of that function, as for its accuracy.
                let has = |instrument: &Instrument| instrument.functions.get(function).is_some();
                self.instruments.iter().find(|(_, instrument)| has(instrument))?
            }
        };
        instrument.connection.as_ref().map(|_| (name.value.as_str(), instrument))
    }

    /// Finds the supply with an output of this name.
    #[must_use]
    pub fn supply(&self, channel: &str) -> Option<(&At<String>, &Instrument)> {
        let has = |instrument: &Instrument| instrument.channels.get(channel).is_some();
        self.instruments.iter().find(|(_, instrument)| has(instrument))
    }

    /// Tells whether the program reaches any instrument itself.
    #[must_use]
    pub fn is_connected(&self) -> bool {
        self.instruments.iter().any(|(_, instrument)| instrument.connection.is_some())
    }

    /// Tells which instruments are out of calibration on a day; one without a date is not.
    #[must_use]
    pub fn overdue_on(&self, today: Day) -> Vec<Overdue> {
        let overdue = self.instruments.iter().filter_map(|(name, instrument)| {
            let due = instrument.calibration_due.as_ref()?.value;
            (due < today).then(|| Overdue { instrument: name.value.clone(), due })
        });
        overdue.collect()
    }

    /// What an accuracy depends on beside the reading.
    #[must_use]
    pub fn conditions(&self, source_resistance: Option<Quantity>) -> Conditions {
        let ambient = self.ambient.as_ref().and_then(Celsius::quantity);
        Conditions { ambient, source_resistance }
    }
}

impl<'a> Meter<'a> {
    /// The range on which it shows a value, and the value with what it promises there; `name` tells its inputs from those
    /// of other readings.
    #[must_use]
    pub fn on_range(
        &self,
        value: Quantity,
        name: &str,
        conditions: &Conditions,
    ) -> Option<(&'a Accuracy, Option<Estimate>)> {
        let accuracy = Accuracy::in_use(self.ranges, &value)?;
        Some((accuracy, accuracy.estimate(value, name, conditions).ok()))
    }

    /// The instrument in one line, for a record.
    #[must_use]
    pub fn words(&self) -> String {
        let due = self.instrument.calibration_due.as_ref();
        let due = due.map(|due| format!(", calibration due {}", due.value)).unwrap_or_default();
        format!("{}, serial {}{due}", *self.instrument.what, *self.instrument.serial)
    }
}
