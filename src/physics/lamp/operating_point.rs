//! Where a lamp and what is in series with it settle.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::filament::Lamp;
use super::glow::Glow;
use crate::physics::rectifier::SupplyError;
use crate::physics::root::falling_root;

/// Filament temperatures are found to this, as the root of the rise in K.
const ROOT_TOLERANCE: f64 = 1e-10;

/// Where a lamp and the equipment in series with it settle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OperatingPoint {
    /// Filament temperature, K.
    pub filament_k: f64,
    /// How that looks.
    pub glow: Glow,
    /// Current through lamp and equipment, A.
    pub current_a: f64,
    /// Voltage across the lamp, V.
    pub lamp_v: f64,
    /// Voltage left to the equipment, V.
    pub equipment_v: f64,
}

/// A value that a lamp and its load are worked out from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum LampValue {
    /// Mains voltage.
    MainsVoltage,
    /// Rated power of the lamp.
    RatedPower,
    /// Rated voltage of the lamp.
    RatedVoltage,
    /// Temperature of the lamp at its rating, K.
    HotTemperature,
    /// How steeply the lamp radiates with its temperature.
    RadiationExponent,
    /// What of its power the lamp conducts away.
    ConductedShare,
    /// Load resistance.
    LoadResistance,
    /// Load power.
    LoadPower,
    /// Primary voltage.
    PrimaryVoltage,
    /// Primary resistance.
    PrimaryResistance,
    /// Magnetising current.
    MagnetisingCurrent,
}

impl fmt::Display for LampValue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::MainsVoltage => "mains voltage",
            Self::RatedPower => "lamp's rated power",
            Self::RatedVoltage => "lamp's rated voltage",
            Self::HotTemperature => "lamp's hot temperature in kelvin",
            Self::RadiationExponent => "lamp's radiation exponent",
            Self::ConductedShare => "lamp's conducted share",
            Self::LoadResistance => "load resistance",
            Self::LoadPower => "load power",
            Self::PrimaryVoltage => "primary voltage",
            Self::PrimaryResistance => "primary resistance",
            Self::MagnetisingCurrent => "magnetising current",
        })
    }
}

/// Why a lamp and a load have no operating point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum LampError {
    /// A value is out of its range, or is not a number.
    #[error("the {what} can't be {value}; correct it")]
    OutOfRange {
        /// Which value.
        what: LampValue,
        /// What it was.
        value: f64,
    },
    /// The lamp is made for a much lower voltage than this load could leave it.
    #[error(
        "a lamp rated {rated_v} V would melt in series with this load on {supply_v} V; fit one rated for the mains"
    )]
    Overdriven {
        /// Rated voltage of the lamp, V.
        rated_v: f64,
        /// Mains, V.
        supply_v: f64,
    },
    /// A constant-power load takes more than the lamp can pass.
    #[error(
        "the equipment asks for {asked_w} W, but this lamp passes {most_w:.1} W at most; fit a larger lamp"
    )]
    TooMuchPower {
        /// Power the equipment takes, W.
        asked_w: f64,
        /// Most the lamp can pass, W.
        most_w: f64,
    },
    /// A single diode's direct current pulls the transformer's core to one side.
    #[error(
        "a half-wave rectifier magnetises its transformer one way, which is not modelled; measure instead"
    )]
    HalfWave,
    /// The rectifier behind the transformer can't be worked out.
    #[error(transparent)]
    Supply(#[from] SupplyError),
}

impl OperatingPoint {
    pub(super) fn at(lamp: &Lamp, filament_k: f64, equipment_v: f64) -> Self {
        Self {
            filament_k,
            glow: Glow::at(filament_k),
            current_a: lamp.ampere_at(filament_k),
            lamp_v: lamp.volt_at(filament_k),
            equipment_v,
        }
    }
}

impl Lamp {
    /// Settles the lamp with a resistance of `load_ohm` on `supply_v`; zero is a short.
    ///
    /// Each filament temperature asks for one supply, I(T) (R(T) + load), which rises with temperature, so there is one
    /// operating point.
    ///
    /// # Errors
    ///
    /// A value out of range, or a lamp that would melt.
    pub fn with_resistance(
        &self,
        supply_v: f64,
        load_ohm: f64,
    ) -> Result<OperatingPoint, LampError> {
        self.check(supply_v)?;
        within(LampValue::LoadResistance, load_ohm, 0.0, f64::MAX)?;
        let left_over =
            |kelvin| supply_v - self.volt_at(kelvin) - self.ampere_at(kelvin) * load_ohm;
        let filament_k = self.settle(supply_v, Self::HOTTEST_K, left_over)?;
        let equipment_v = self.ampere_at(filament_k) * load_ohm;
        Ok(OperatingPoint::at(self, filament_k, equipment_v))
    }

    /// Settles the lamp with equipment that takes `load_w` whatever its voltage, as a switching supply does.
    ///
    /// Unity power factor is assumed. Two points would satisfy the circuit; the one with the brighter lamp is unstable,
    /// so the one with the dimmer lamp is returned. It need not be reached: a switching supply may start, load the
    /// lamp, lose its volts and try again, which shows as a pulsing lamp.
    ///
    /// # Errors
    ///
    /// A value out of range, or more power than the lamp passes.
    pub fn with_power(&self, supply_v: f64, load_w: f64) -> Result<OperatingPoint, LampError> {
        self.check(supply_v)?;
        within(LampValue::LoadPower, load_w, 0.0, f64::MAX)?;
        let passed_w = |kelvin| self.ampere_at(kelvin) * (supply_v - self.volt_at(kelvin));
        let most_at_k = self.hottest_before_falling(passed_w);
        let most_w = passed_w(most_at_k);
        if load_w > most_w {
            return Err(LampError::TooMuchPower { asked_w: load_w, most_w });
        }
        let filament_k = self.balance(most_at_k, |kelvin| load_w - passed_w(kelvin));
        Ok(OperatingPoint::at(self, filament_k, supply_v - self.volt_at(filament_k)))
    }

    /// Temperature at which what the lamp passes peaks: golden-section search, as there is a single peak.
    fn hottest_before_falling(&self, passed_w: impl Fn(f64) -> f64) -> f64 {
        let golden = (5.0_f64.sqrt() - 1.0) / 2.0;
        let (mut low, mut high) = (self.cold_k(), Self::HOTTEST_K);
        while high - low > 1e-3 {
            let (left, right) = (high - golden * (high - low), low + golden * (high - low));
            if passed_w(left) < passed_w(right) {
                low = left;
            } else {
                high = right;
            }
        }
        0.5 * (low + high)
    }

    /// The filament temperature, `most_k` at most, at which nothing of the supply is left over.
    pub(super) fn settle(
        &self,
        supply_v: f64,
        most_k: f64,
        mut left_over: impl FnMut(f64) -> f64,
    ) -> Result<f64, LampError> {
        if most_k >= Self::HOTTEST_K && left_over(Self::HOTTEST_K) > 0.0 {
            return Err(LampError::Overdriven { rated_v: self.rated_v, supply_v });
        }
        Ok(self.balance(most_k, left_over))
    }

    /// Temperature that a current holds, K, or the hottest worked with.
    pub(super) fn kelvin_at(&self, ampere: f64) -> f64 {
        if ampere >= self.ampere_at(Self::HOTTEST_K) {
            return Self::HOTTEST_K;
        }
        self.balance(Self::HOTTEST_K, |kelvin| ampere - self.ampere_at(kelvin))
    }

    /// The temperature from cold to `most_k` at which a falling function of it crosses zero.
    ///
    /// Near cold the current goes with the root of the rise, so over that root the function is nearly a straight line,
    /// which takes half the calls.
    fn balance(&self, most_k: f64, mut falling: impl FnMut(f64) -> f64) -> f64 {
        let kelvin = |root: f64| self.cold_k() + root * root;
        let most = (most_k - self.cold_k()).sqrt();
        kelvin(falling_root(0.0, most, ROOT_TOLERANCE, |root| falling(kelvin(root))))
    }

    pub(super) fn check(&self, supply_v: f64) -> Result<(), LampError> {
        within(LampValue::MainsVoltage, supply_v, f64::MIN_POSITIVE, f64::MAX)?;
        within(LampValue::RatedPower, self.rated_w, f64::MIN_POSITIVE, f64::MAX)?;
        within(LampValue::RatedVoltage, self.rated_v, f64::MIN_POSITIVE, f64::MAX)?;
        within(LampValue::HotTemperature, self.hot_k, 1000.0, Self::HOTTEST_K)?;
        within(LampValue::RadiationExponent, self.radiation_exponent, 3.0, 7.0)?;
        within(LampValue::ConductedShare, self.conducted_share, 0.0, 1.0)
    }
}

pub(super) fn within(what: LampValue, value: f64, low: f64, high: f64) -> Result<(), LampError> {
    let sound = (low..=high).contains(&value);
    if sound { Ok(()) } else { Err(LampError::OutOfRange { what, value }) }
}
