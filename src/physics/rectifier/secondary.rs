//! From what is printed on a transformer to the sine and the resistance behind its secondary.

/// RMS voltage of the ideal sine behind a secondary, V.
///
/// V = nominal x mains x (1 + rise): `nominal_v` is the voltage printed for rated load, `mains_ratio` the mains over
/// its nominal voltage, `rise` the transformer's regulation: off-load over rated-load voltage, less one (makers print
/// 6 to 8 % for a 300 VA toroid; from memory). Assumes regulation is all resistance, as in small mains transformers.
#[must_use]
pub fn sine_v(nominal_v: f64, mains_ratio: f64, rise: f64) -> f64 {
    nominal_v * mains_ratio * (1.0 + rise)
}

/// Resistance behind a secondary, ohm, primary's share included.
///
/// R = rise x V / I = rise x V^2 / VA, which loses the rise at rated resistive load. `volt_ampere` is the rating of
/// that winding alone: half the transformer's for each half of a centre-tapped one.
#[must_use]
pub fn winding_ohm(nominal_v: f64, volt_ampere: f64, rise: f64) -> f64 {
    rise * nominal_v * nominal_v / volt_ampere
}

#[cfg(test)]
mod tests {
    use super::{sine_v, winding_ohm};

    #[test]
    fn rated_load_brings_the_nominal_voltage_back() {
        let (nominal, volt_ampere, rise) = (35.0, 100.0, 0.08);
        let current = volt_ampere / nominal;
        let loaded = sine_v(nominal, 1.0, rise) - current * winding_ohm(nominal, volt_ampere, rise);
        assert!((loaded - nominal).abs() < 1e-9, "{loaded}");
    }

    #[test]
    fn tolerances_multiply() {
        assert!((sine_v(30.0, 1.10, 0.05) - 34.65).abs() < 1e-9);
    }
}
