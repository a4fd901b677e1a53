//! A lamp in series with the primary of a transformer that feeds a rectifier.

use super::filament::Lamp;
use super::operating_point::{LampError, LampValue, OperatingPoint, within};
use crate::physics::rectifier::{Rail, RailSupply, Topology};

/// A mains transformer, as its primary shows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Transformer {
    /// Primary voltage at which the supply's secondary voltage holds off load, V.
    pub primary_v: f64,
    /// Resistance of the primary, ohm.
    pub primary_ohm: f64,
    /// Magnetising current at that voltage, A.
    pub magnetising_a: f64,
}

/// A lamp and a rectifier behind a transformer, settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OnTransformer {
    /// The lamp and the primary.
    pub lamp: OperatingPoint,
    /// Each rail behind it; its winding's resistance and loss include the primary's and the lamp's.
    pub rail: Rail,
}

/// What the primary draws at one filament temperature.
struct PrimaryDraw {
    rail: Rail,
    primary_v: f64,
    current_a: f64,
}

impl Transformer {
    /// Draw of `supply` through this transformer and `series_ohm` of lamp, on `supply_v`; `like` is the rail with about
    /// as much lamp.
    fn draw(
        &self,
        supply_v: f64,
        series_ohm: f64,
        supply: &RailSupply,
        like: Option<&Rail>,
    ) -> Result<PrimaryDraw, LampError> {
        let ratio = supply.secondary_v / self.primary_v;
        let rails = supply.topology.rails();
        let brought_over_ohm = (series_ohm + self.primary_ohm) * ratio * ratio * rails;
        let seen_by_the_rail = RailSupply {
            secondary_v: ratio * supply_v,
            winding_ohm: supply.winding_ohm + brought_over_ohm,
            ..*supply
        };
        let rail = seen_by_the_rail.steady_near(like)?;
        let load_a = rails * ratio * rail.charging_rms_a;
        // The mean square of mains less lamp; the mean product of mains and current is the power drawn.
        let primary_v = |current_a: f64| {
            let lamp_v = series_ohm * current_a;
            let cross = 2.0 * series_ohm * rails * rail.source_w;
            (supply_v * supply_v - cross + lamp_v * lamp_v).max(0.0).sqrt()
        };
        let magnetising_a = self.magnetising_a * primary_v(load_a) / self.primary_v;
        let current_a = load_a.hypot(magnetising_a);
        Ok(PrimaryDraw { rail, primary_v: primary_v(current_a), current_a })
    }

    fn check(&self) -> Result<(), LampError> {
        within(LampValue::PrimaryVoltage, self.primary_v, f64::MIN_POSITIVE, f64::MAX)?;
        within(LampValue::PrimaryResistance, self.primary_ohm, 0.0, f64::MAX)?;
        within(LampValue::MagnetisingCurrent, self.magnetising_a, 0.0, f64::MAX)
    }
}

impl Lamp {
    /// Settles the lamp in series with the primary of `transformer`, whose secondary feeds `supply`.
    ///
    /// The filament keeps its resistance within a cycle, so it is brought over to the secondary as winding resistance
    /// and the rectifier is solved with it: the pulses' crest factor is in the result, not guessed. Magnetising current
    /// is taken as proportional to the primary's voltage and a quarter cycle behind the rest, so the two add as
    /// squares; saturation and leakage inductance are left out. The hotter the filament, the more current it needs and the less
    /// its resistance lets through, so there is one operating point. `supply.winding_ohm` is the secondary's alone.
    ///
    /// # Errors
    ///
    /// A value out of range in lamp, transformer or supply, a half-wave supply, or a lamp that would melt.
    pub fn with_rectifier(
        &self,
        supply_v: f64,
        transformer: &Transformer,
        supply: &RailSupply,
    ) -> Result<OnTransformer, LampError> {
        self.check(supply_v)?;
        transformer.check()?;
        if supply.topology == Topology::HalfWave {
            return Err(LampError::HalfWave);
        }
        let mut like = None;
        let mut draw = |kelvin| {
            let draw = transformer.draw(supply_v, self.ohm_at(kelvin), supply, like.as_ref())?;
            like = Some(draw.rail);
            Ok::<_, LampError>(draw)
        };
        // No filament gets hotter than it would by what the cold lamp lets through.
        let most_k = self.kelvin_at(draw(self.cold_k())?.current_a);
        let mut refused = None;
        let filament_k = self.settle(supply_v, most_k, |kelvin| match draw(kelvin) {
            Ok(draw) => draw.current_a - self.ampere_at(kelvin),
            Err(error) => {
                refused = Some(error);
                0.0
            }
        })?;
        if let Some(error) = refused {
            return Err(error);
        }
        let PrimaryDraw { rail, primary_v, .. } = draw(filament_k)?;
        Ok(OnTransformer { lamp: OperatingPoint::at(self, filament_k, primary_v), rail })
    }
}
