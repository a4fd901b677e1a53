//! A winding, its rectifier, the reservoir and the load of one rail.

use std::f64::consts::{FRAC_1_SQRT_2, SQRT_2, TAU};

use super::diode::{Diode, DiodeString};
use super::lap::Loop;
use super::load::Load;
use super::rail::Rail;

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

/// Why a supply can't be worked out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SupplyError {
    /// A value that must be above zero is not, or is not a number.
    #[error(
        "the {what} must be a number above zero, not {value}; correct it in the supply's values"
    )]
    NotPositive {
        /// Which value.
        what: &'static str,
        /// What it was.
        value: f64,
    },
    /// A value that must not be below zero is, or is not a number.
    #[error(
        "the {what} must be a number, zero or above, not {value}; correct it in the supply's values"
    )]
    Negative {
        /// Which value.
        what: &'static str,
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
            let (drop_v, crest_v) = (charging.diodes.onset_v(), charging.crest_v);
            return Err(SupplyError::NeverConducts { drop_v, crest_v });
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
        above_zero("secondary voltage", self.secondary_v)?;
        zero_or_above("winding resistance", self.winding_ohm)?;
        above_zero("mains frequency", self.mains_hz)?;
        above_zero("reservoir capacitance", self.reservoir_f)?;
        match self.load {
            Load::Current(ampere) => zero_or_above("load current", ampere)?,
            Load::Resistance(ohm) => above_zero("load resistance", ohm)?,
        }
        match self.diode {
            Diode::Drop(volts) => zero_or_above("diode drop", volts),
            Diode::Junction(junction) => {
                above_zero("diode saturation current", junction.saturation_a)?;
                above_zero("diode emission coefficient", junction.ideality)?;
                zero_or_above("diode series resistance", junction.series_ohm)?;
                above_zero("junction temperature in kelvin", junction.celsius + 273.15)
            }
        }
    }
}

fn above_zero(what: &'static str, value: f64) -> Result<(), SupplyError> {
    let sound = value.is_finite() && value > 0.0;
    if sound { Ok(()) } else { Err(SupplyError::NotPositive { what, value }) }
}

fn zero_or_above(what: &'static str, value: f64) -> Result<(), SupplyError> {
    let sound = value.is_finite() && value >= 0.0;
    if sound { Ok(()) } else { Err(SupplyError::Negative { what, value }) }
}
