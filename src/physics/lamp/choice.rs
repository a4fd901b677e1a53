//! Which lamp to fit.

use super::filament::Lamp;
use super::operating_point::{LampError, OperatingPoint};

/// The smallest of `lamps` that takes no more than `most_share` of the mains from sound equipment, with where it
/// settles; none if even the largest takes more.
///
/// The smaller the lamp, the less a fault gets; too small, and sound equipment looks faulty. Equipment is taken as a
/// resistance that would draw `draw_w` straight from the mains; a rectifier takes a little more of the lamp than that.
/// A share of 0.1 to 0.2 is usual (common practice, no source).
///
/// # Errors
///
/// A value out of range, or a lamp that would melt.
pub fn smallest_fitting(
    lamps: &[Lamp],
    supply_v: f64,
    draw_w: f64,
    most_share: f64,
) -> Result<Option<(Lamp, OperatingPoint)>, LampError> {
    let load_ohm = supply_v * supply_v / draw_w;
    let mut by_power = lamps.to_vec();
    by_power.sort_by(|a, b| a.rated_w.total_cmp(&b.rated_w));
    for lamp in by_power {
        let point = lamp.with_resistance(supply_v, load_ohm)?;
        if point.lamp_v <= most_share * supply_v {
            return Ok(Some((lamp, point)));
        }
    }
    Ok(None)
}
