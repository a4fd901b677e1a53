//! The power law by which the trade re-rates lamps.

use crate::physics::root::falling_root;

/// Exponent of current against voltage (lamp makers' re-rating rule, as printed in Fink and Beaty, 11th edition,
/// p. 22-8, seen in a secondary source).
const CURRENT_EXPONENT: f64 = 0.55;

/// Hot over cold resistance: the resistivity table of Forsythe and Worthing gives 15.0 at 2800 K.
const HOT_OVER_COLD: f64 = 15.0;

/// A filament lamp by the trade's re-rating law, I = Ir (V / Vr)^0.55.
///
/// The law is made for a few tens of per cent about rated volts. Below about 10 % it asks for less than the cold
/// resistance, so a lamp never has less than a fifteenth of its hot one. [`super::Lamp`] is the better model; this is
/// the figure a person finds in books.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TradeLamp {
    /// Rated power, W.
    pub rated_w: f64,
    /// Rated voltage, V.
    pub rated_v: f64,
}

impl TradeLamp {
    /// Resistance at rated voltage, ohm.
    #[must_use]
    pub fn hot_ohm(&self) -> f64 {
        self.rated_v * self.rated_v / self.rated_w
    }

    /// Current at a voltage across the lamp, A.
    #[must_use]
    pub fn current_a(&self, lamp_v: f64) -> f64 {
        let law = self.rated_w / self.rated_v * (lamp_v / self.rated_v).powf(CURRENT_EXPONENT);
        law.min(lamp_v * HOT_OVER_COLD / self.hot_ohm())
    }

    /// Voltage across the lamp, V, in series with `load_ohm` on `supply_v`; a short is zero ohm.
    #[must_use]
    pub fn lamp_v(&self, supply_v: f64, load_ohm: f64) -> f64 {
        falling_root(0.0, supply_v, 1e-9 * supply_v, |lamp_v| {
            supply_v - lamp_v - self.current_a(lamp_v) * load_ohm
        })
    }
}
