//! How the resistance of tungsten follows its temperature.

/// Temperature that ratios are given over, K.
const COLD_K: f64 = 300.0;

/// Exponent of the power law, a fit to the resistivity of Forsythe and Worthing (1925); against that it is 2 to 4 % low
/// above 1000 K.
const EXPONENT: f64 = 1.2;

/// Resistance of a tungsten filament at a temperature over that at 300 K.
#[must_use]
pub(super) fn ratio(kelvin: f64) -> f64 {
    (kelvin / COLD_K).powf(EXPONENT)
}

#[cfg(test)]
mod tests {
    use super::ratio;

    /// R/R300 of Forsythe and Worthing 1925, as credited by later copies of their table, recomputed from its resistivities.
    #[test]
    fn the_power_law_is_a_little_low() {
        let published = [
            (1000.0, 4.412),
            (1500.0, 7.143),
            (2000.0, 10.03),
            (2400.0, 12.46),
            (2500.0, 13.08),
            (2700.0, 14.34),
            (2800.0, 14.99),
            (2900.0, 15.63),
            (3000.0, 16.29),
            (3200.0, 17.62),
            (3600.0, 20.35),
        ];
        for (kelvin, published) in published {
            let low = 1.0 - ratio(kelvin) / published;
            assert!((0.005..0.045).contains(&low), "{kelvin} K: {low}");
        }
    }
}
