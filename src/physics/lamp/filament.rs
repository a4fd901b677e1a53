//! A filament lamp: its resistance and what it takes to hold a temperature.

use super::tungsten;

/// Room temperature, K: the filament before switching on, and what it loses heat to.
const ROOM_K: f64 = 300.0;

/// Filament temperature at rated volts, K: lamps below 100 W, and from 100 W up (from memory).
const SMALL_HOT_K: f64 = 2750.0;
const LARGE_HOT_K: f64 = 2800.0;
const LARGE_W: f64 = 100.0;

/// Exponent of the radiated part: more than the 4 of a grey body, as tungsten's emissivity rises with temperature (from
/// memory).
const RADIATION_EXPONENT: f64 = 4.5;

/// Exponent that was measured: very close to 4 (Carlà, Am. J. Phys. 2013, doi 10.1119/1.4802873, by its abstract).
const MEASURED_EXPONENT: f64 = 4.0;

/// Share of the rated power that gas and leads carry off (from memory).
const CONDUCTED_SHARE: f64 = 0.15;

/// A filament lamp.
///
/// In the steady state the electrical power equals a (T^n - T0^n) + k (T - T0): radiation, and conduction by gas and
/// leads (form after Carlà, Am. J. Phys. 2013, doi 10.1119/1.4802873; constants from memory). The two constants follow
/// from the rated power, so rated volts give rated power exactly. From room temperature to 3600 K; LED and compact
/// fluorescent lamps do not behave so at all.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lamp {
    /// Rated power, W.
    pub rated_w: f64,
    /// Rated voltage, V.
    pub rated_v: f64,
    /// Filament temperature at rated voltage, K.
    pub hot_k: f64,
    /// Exponent of the radiated part.
    pub radiation_exponent: f64,
    /// Share of the rated power carried off by conduction.
    pub conducted_share: f64,
}

impl Lamp {
    /// Hottest filament worked with, K: the end of the resistivity table, just below melting.
    pub const HOTTEST_K: f64 = 3600.0;

    /// A general-service lamp of a rated power and voltage.
    #[must_use]
    pub const fn general_service(rated_w: f64, rated_v: f64) -> Self {
        Self {
            rated_w,
            rated_v,
            hot_k: if rated_w < LARGE_W { SMALL_HOT_K } else { LARGE_HOT_K },
            radiation_exponent: RADIATION_EXPONENT,
            conducted_share: CONDUCTED_SHARE,
        }
    }

    /// The same lamp with the exponent that was measured: between the two lies what is to be expected of a real one.
    #[must_use]
    pub const fn as_measured(self) -> Self {
        Self { radiation_exponent: MEASURED_EXPONENT, ..self }
    }

    /// Temperature of a filament that carries no current, K.
    #[must_use]
    pub const fn cold_k(&self) -> f64 {
        ROOM_K
    }

    /// Resistance at rated voltage, ohm.
    #[must_use]
    pub fn hot_ohm(&self) -> f64 {
        self.rated_v * self.rated_v / self.rated_w
    }

    /// Resistance before switching on, ohm.
    #[must_use]
    pub fn cold_ohm(&self) -> f64 {
        self.ohm_at(ROOM_K)
    }

    /// Resistance at a filament temperature, ohm.
    #[must_use]
    pub fn ohm_at(&self, kelvin: f64) -> f64 {
        self.hot_ohm() * tungsten::ratio(kelvin) / tungsten::ratio(self.hot_k)
    }

    /// Power that holds a filament temperature, W.
    #[must_use]
    pub fn watt_at(&self, kelvin: f64) -> f64 {
        let radiated = |kelvin: f64| kelvin.powf(self.radiation_exponent);
        let radiated_share =
            (radiated(kelvin) - radiated(ROOM_K)) / (radiated(self.hot_k) - radiated(ROOM_K));
        let conducted_share = (kelvin - ROOM_K) / (self.hot_k - ROOM_K);
        self.rated_w
            * ((1.0 - self.conducted_share) * radiated_share
                + self.conducted_share * conducted_share)
    }

    /// Current that holds a filament temperature, A.
    #[must_use]
    pub fn ampere_at(&self, kelvin: f64) -> f64 {
        (self.watt_at(kelvin) / self.ohm_at(kelvin)).sqrt()
    }

    /// Voltage that holds a filament temperature, V.
    #[must_use]
    pub fn volt_at(&self, kelvin: f64) -> f64 {
        (self.watt_at(kelvin) * self.ohm_at(kelvin)).sqrt()
    }

    /// Highest current at switching on, A: the mains crest over the cold filament, with nothing else in its way.
    #[must_use]
    pub fn switch_on_peak_a(&self, supply_v: f64) -> f64 {
        std::f64::consts::SQRT_2 * supply_v / self.cold_ohm()
    }
}
