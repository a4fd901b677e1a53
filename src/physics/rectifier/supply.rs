//! A winding, its rectifier, the reservoir and the load of one rail.

use std::f64::consts::{FRAC_1_SQRT_2, SQRT_2, TAU};
use std::fmt;

use serde::{Deserialize, Serialize};

use super::diode::{Diode, DiodeString};
use super::lap::Loop;
use super::load::Load;
use super::rail::Rail;
use crate::quantity::Decimal;

/// How the winding feeds the reservoir.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Topology {
    /// One winding, one diode: one pulse a cycle.
    HalfWave,
    /// A centre-tapped winding and two diodes: one rail, one drop, each half carries every other pulse.
    CentreTap,
    /// One winding and a bridge: two drops.
    Bridge,
    /// A centre-tapped winding and a bridge: a rail each side of the tap, one drop a rail. Each half feeds the positive
    /// rail in one half cycle and the negative rail in the other, so it carries one rail's whole charging current.
    SplitRails,
}

impl Topology {
    /// Diodes that one charging pulse passes through.
    #[must_use]
    pub const fn drops(self) -> f64 {
        match self {
            Self::HalfWave | Self::CentreTap | Self::SplitRails => 1.0,
            Self::Bridge => 2.0,
        }
    }

    /// Charging pulses a mains cycle.
    #[must_use]
    pub const fn pulses(self) -> f64 {
        match self {
            Self::HalfWave => 1.0,
            Self::CentreTap | Self::Bridge | Self::SplitRails => 2.0,
        }
    }

    /// Rails the winding feeds.
    #[must_use]
    pub const fn rails(self) -> f64 {
        match self {
            Self::HalfWave | Self::CentreTap | Self::Bridge => 1.0,
            Self::SplitRails => 2.0,
        }
    }

    /// RMS current of the winding, or of one half of it, over the RMS charging current of a rail.
    const fn winding_share(self) -> f64 {
        match self {
            Self::HalfWave | Self::Bridge | Self::SplitRails => 1.0,
            Self::CentreTap => FRAC_1_SQRT_2,
        }
    }
}

/// One rail of a mains supply, in SI units.
///
/// The winding is an ideal sine behind a resistance: flattened mains crests, leakage inductance and saturation are left
/// out. The reservoir has no series resistance: below a tenth of an ohm it changes a mains rail by less than the
/// winding's tolerance does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RailSupply {
    /// How the winding feeds the reservoir.
    pub topology: Topology,
    /// RMS voltage of the ideal sine: the whole winding, or each half of a centre-tapped one.
    pub secondary_v: f64,
    /// Resistance behind that sine, ohm: the winding's own, with the primary's brought over.
    pub winding_ohm: f64,
    /// Mains frequency, Hz.
    pub mains_hz: f64,
    /// Each diode.
    pub diode: Diode,
    /// Reservoir on each rail, F.
    pub reservoir_f: f64,
    /// What each rail feeds.
    pub load: Load,
}

/// A value that a supply is worked out from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum SupplyValue {
    /// Secondary voltage.
    SecondaryVoltage,
    /// Winding resistance.
    WindingResistance,
    /// Mains frequency.
    MainsFrequency,
    /// Reservoir capacitance.
    ReservoirCapacitance,
    /// Load current.
    LoadCurrent,
    /// Load resistance.
    LoadResistance,
    /// Diode drop.
    DiodeDrop,
    /// Diode saturation current.
    SaturationCurrent,
    /// Diode emission coefficient.
    EmissionCoefficient,
    /// Diode series resistance.
    SeriesResistance,
    /// Junction temperature, K.
    JunctionTemperature,
}

impl fmt::Display for SupplyValue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::SecondaryVoltage => "secondary voltage",
            Self::WindingResistance => "winding resistance",
            Self::MainsFrequency => "mains frequency",
            Self::ReservoirCapacitance => "reservoir capacitance",
            Self::LoadCurrent => "load current",
            Self::LoadResistance => "load resistance",
            Self::DiodeDrop => "diode drop",
            Self::SaturationCurrent => "diode saturation current",
            Self::EmissionCoefficient => "diode emission coefficient",
            Self::SeriesResistance => "diode series resistance",
            Self::JunctionTemperature => "junction temperature in kelvin",
        })
    }
}

/// Why a supply can't be worked out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum SupplyError {
    /// A value that must be above zero is not, or is not a number.
    #[error(
        "the {what} must be a number above zero, not {value}; correct it in the supply's values"
    )]
    NotPositive {
        /// Which value.
        what: SupplyValue,
        /// What it was.
        value: f64,
    },
    /// A value that must not be below zero is, or is not a number.
    #[error(
        "the {what} must be a number, zero or above, not {value}; correct it in the supply's values"
    )]
    Negative {
        /// Which value.
        what: SupplyValue,
        /// What it was.
        value: f64,
    },
    /// The diodes need more than the crest of the winding.
    #[error(
        "the diodes drop {drop_v} V, but the secondary's crest is only {crest_v} V; check both values"
    )]
    NeverConducts {
        /// Drop of the diodes in series, V.
        drop_v: f64,
        /// Crest of the secondary, V.
        crest_v: f64,
    },
}

impl RailSupply {
    /// Works out the periodic steady state of one rail.
    ///
    /// Solves C dv/dt = i(e - v) - load over one pulse to pulse lap, exactly while no diode conducts and by an implicit
    /// method while one does, and finds the start that a lap returns to. Holds for any time constant, from a load that
    /// empties the reservoir to none at all; off load it gives the crest, where any real meter reads the diodes' drop
    /// at its own small current less. Compared with a circuit simulator in the tests.
    ///
    /// # Errors
    ///
    /// A value that no supply can have.
    pub fn steady(&self) -> Result<Rail, SupplyError> {
        self.steady_near(None)
    }

    /// As [`RailSupply::steady`], found in fewer laps from the rail of a supply that is much the same.
    pub(in crate::physics) fn steady_near(&self, like: Option<&Rail>) -> Result<Rail, SupplyError> {
        self.check()?;
        let charging = self.charging_loop();
        if charging.ceiling_v() <= 0.0 {
            let drop_v = computed(charging.diodes.onset_v());
            return Err(SupplyError::NeverConducts { drop_v, crest_v: computed(charging.crest_v) });
        }
        let lap = charging.steady(like.map(|rail| rail.zero_crossing_v));
        Ok(Rail::gather(&charging, &lap, self.topology.winding_share()))
    }

    fn charging_loop(&self) -> Loop {
        Loop {
            crest_v: SQRT_2 * self.secondary_v,
            omega: TAU * self.mains_hz,
            winding_ohm: self.winding_ohm,
            diodes: DiodeString::new(self.diode, self.topology.drops()),
            farad: self.reservoir_f,
            load: self.load,
            lap_rad: TAU / self.topology.pulses(),
        }
    }

    fn check(&self) -> Result<(), SupplyError> {
        above_zero(SupplyValue::SecondaryVoltage, self.secondary_v)?;
        zero_or_above(SupplyValue::WindingResistance, self.winding_ohm)?;
        above_zero(SupplyValue::MainsFrequency, self.mains_hz)?;
        above_zero(SupplyValue::ReservoirCapacitance, self.reservoir_f)?;
        match self.load {
            Load::Current(ampere) => zero_or_above(SupplyValue::LoadCurrent, ampere)?,
            Load::Resistance(ohm) => above_zero(SupplyValue::LoadResistance, ohm)?,
        }
        match self.diode {
            Diode::Drop(volts) => zero_or_above(SupplyValue::DiodeDrop, volts),
            Diode::Junction(junction) => {
                above_zero(SupplyValue::SaturationCurrent, junction.saturation_a)?;
                above_zero(SupplyValue::EmissionCoefficient, junction.ideality)?;
                zero_or_above(SupplyValue::SeriesResistance, junction.series_ohm)?;
                above_zero(SupplyValue::JunctionTemperature, junction.celsius + 273.15)
            }
        }
    }
}

/// Rounds to the digits of every computed value, so that a record of one machine is the same on another.
fn computed(value: f64) -> f64 {
    Decimal::from_f64(value).map_or(value, |rounded| rounded.to_f64())
}

fn above_zero(what: SupplyValue, value: f64) -> Result<(), SupplyError> {
    let sound = value.is_finite() && value > 0.0;
    if sound { Ok(()) } else { Err(SupplyError::NotPositive { what, value }) }
}

fn zero_or_above(what: SupplyValue, value: f64) -> Result<(), SupplyError> {
    let sound = value.is_finite() && value >= 0.0;
    if sound { Ok(()) } else { Err(SupplyError::Negative { what, value }) }
}
