//! Rectifier diodes, and the current through a string of them with a resistance in series.

/// Boltzmann constant over elementary charge, V/K (exact since the 2019 SI).
const VOLTS_PER_KELVIN: f64 = 1.380_649e-23 / 1.602_176_634e-19;

/// Zero of the Celsius scale, K.
const ZERO_CELSIUS_K: f64 = 273.15;

/// Temperature at which a junction's saturation current is given, degrees Celsius.
const NOMINAL_CELSIUS: f64 = 27.0;

/// Band gap of silicon and temperature exponent of the saturation current: the defaults of the SPICE diode (from
/// memory).
const BAND_GAP_V: f64 = 1.11;
const SATURATION_EXPONENT: f64 = 3.0;

/// How a rectifier diode drops volts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Diode {
    /// An exponential junction with a series resistance.
    Junction(Junction),
    /// A constant forward drop in volts; zero is an ideal diode.
    Drop(f64),
}

/// An exponential junction: I = Is (exp(V / n Vt) - 1), with a resistance in series.
///
/// Charge storage and breakdown are left out: at mains frequency both are far below the tolerance of the parts. The
/// saturation current follows temperature by the SPICE law, which lowers the drop by about 2 mV/K.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Junction {
    /// Saturation current at 27 degrees Celsius, A.
    pub saturation_a: f64,
    /// Emission coefficient n.
    pub ideality: f64,
    /// Series resistance, ohm.
    pub series_ohm: f64,
    /// Junction temperature, degrees Celsius.
    pub celsius: f64,
}

impl Junction {
    /// A general-purpose 1 A silicon rectifier of the 1N400x class (constants from memory).
    pub const ONE_AMP_SILICON: Self =
        Self { saturation_a: 14e-9, ideality: 1.98, series_ohm: 0.034, celsius: NOMINAL_CELSIUS };

    /// Each diode of a silicon bridge for 25 A: 0.92 V at 12.5 A and 1.43 V at 50 A (from memory), with the same emission
    /// coefficient.
    pub const OF_A_25_AMP_BRIDGE: Self =
        Self { saturation_a: 3.4e-6, ideality: 1.98, series_ohm: 0.0117, celsius: NOMINAL_CELSIUS };

    /// A junction of so many times the area: as many of these side by side.
    pub(super) fn times_as_large(self, times: f64) -> Self {
        let (saturation_a, series_ohm) = (self.saturation_a * times, self.series_ohm / times);
        Self { saturation_a, series_ohm, ..self }
    }

    fn thermal_v(&self) -> f64 {
        VOLTS_PER_KELVIN * (self.celsius + ZERO_CELSIUS_K)
    }

    /// Saturation current at the junction's own temperature, A.
    fn saturation_now_a(&self) -> f64 {
        let ratio = (self.celsius + ZERO_CELSIUS_K) / (NOMINAL_CELSIUS + ZERO_CELSIUS_K);
        let exponent = (ratio - 1.0) * BAND_GAP_V / (self.ideality * self.thermal_v());
        self.saturation_a * ratio.powf(SATURATION_EXPONENT / self.ideality) * exponent.exp()
    }
}

/// The diodes one charging pulse passes through, in series.
#[derive(Debug, Clone, Copy)]
pub(super) enum DiodeString {
    Junctions { slope_v: f64, saturation_a: f64, ohm: f64 },
    Drop { volts: f64 },
}

impl DiodeString {
    pub(super) fn new(diode: Diode, count: f64) -> Self {
        match diode {
            Diode::Junction(junction) => Self::Junctions {
                slope_v: count * junction.ideality * junction.thermal_v(),
                saturation_a: junction.saturation_now_a(),
                ohm: count * junction.series_ohm,
            },
            Diode::Drop(volts) => Self::Drop { volts: count * volts },
        }
    }

    /// Volts below which the string carries nothing; the reverse leakage of a sound diode is left out.
    pub(super) const fn onset_v(self) -> f64 {
        match self {
            Self::Junctions { .. } => 0.0,
            Self::Drop { volts } => volts,
        }
    }

    /// Current that `volts` drives through the string and `ohm` in series with it; zero below the onset.
    ///
    /// Halley's steps on x = ln(1 + I / Is) from above the root: an exponential is its own second derivative, so they
    /// triple the digits at the price of Newton's, which double them.
    pub(super) fn current(self, volts: f64, ohm: f64) -> f64 {
        let driving = volts - self.onset_v();
        if driving <= 0.0 {
            return 0.0;
        }
        let Self::Junctions { slope_v, saturation_a, ohm: own_ohm } = self else {
            return driving / ohm;
        };
        let scale_v = (ohm + own_ohm) * saturation_a;
        let mut x = (driving / slope_v).min((1.0 + driving / scale_v).ln());
        let mut grown = x.exp();
        for _ in 0..MOST_STEPS {
            let exponential_v = scale_v * grown;
            let excess_v = exponential_v - scale_v + slope_v * x - driving;
            let steepness_v = exponential_v + slope_v;
            let step = excess_v * steepness_v
                / (steepness_v * steepness_v - 0.5 * excess_v * exponential_v);
            x -= step;
            if step.abs() < LAST_STEP * x {
                // So short a step needs no new exponential.
                grown -= grown * step * (1.0 - 0.5 * step);
                break;
            }
            grown = x.exp();
        }
        saturation_a * (grown - 1.0)
    }

    /// How steeply [`DiodeString::current`] rises with the volts, S, where it is `ampere`.
    pub(super) fn siemens(self, ampere: f64, ohm: f64) -> f64 {
        match self {
            _ if ampere <= 0.0 => 0.0,
            Self::Junctions { slope_v, saturation_a, ohm: own_ohm } => {
                1.0 / (ohm + own_ohm + slope_v / (ampere + saturation_a))
            }
            Self::Drop { .. } => 1.0 / ohm,
        }
    }
}

/// Far more than are needed: the digits triple each time.
const MOST_STEPS: usize = 20;
/// After a step this short, as a part of x, what is left is far below a billionth.
const LAST_STEP: f64 = 1e-5;

#[cfg(test)]
mod tests {
    use super::{Diode, DiodeString, Junction};

    fn volts(string: DiodeString, current: f64, ohm: f64) -> f64 {
        match string {
            DiodeString::Junctions { slope_v, saturation_a, ohm: series_ohm } => {
                slope_v * (current / saturation_a).ln_1p() + (series_ohm + ohm) * current
            }
            DiodeString::Drop { volts } => volts + ohm * current,
        }
    }

    #[test]
    fn the_current_found_drops_the_volts_given() {
        for count in [1.0, 2.0] {
            let string = DiodeString::new(Diode::Junction(Junction::ONE_AMP_SILICON), count);
            for ohm in [1e-9, 1e-3, 1.0, 1e3, 1e6] {
                for drive in [1e-6, 0.1, 0.6, 1.5, 30.0, 900.0] {
                    let back = volts(string, string.current(drive, ohm), ohm);
                    assert!((back / drive - 1.0).abs() < 1e-9, "{drive} V, {ohm} ohm: {back}");
                }
            }
        }
    }

    #[test]
    fn the_current_rises_as_steeply_as_said() {
        for string in [Diode::Junction(Junction::ONE_AMP_SILICON), Diode::Drop(0.7)]
            .map(|diode| DiodeString::new(diode, 2.0))
        {
            for (drive, ohm) in [(1.6, 1e-3), (3.0, 1.0), (30.0, 100.0)] {
                let slope =
                    (string.current(drive + 1e-5, ohm) - string.current(drive - 1e-5, ohm)) / 2e-5;
                let said = string.siemens(string.current(drive, ohm), ohm);
                assert!((slope / said - 1.0).abs() < 1e-4, "{drive} V, {ohm} ohm: {slope}, {said}");
            }
            assert!(string.siemens(0.0, 1.0) <= 0.0);
        }
    }

    #[test]
    fn nothing_flows_below_the_onset() {
        let string = DiodeString::new(Diode::Drop(0.7), 2.0);
        assert!(string.current(1.39, 1.0) <= 0.0);
        assert!((string.current(2.4, 0.5) - 2.0).abs() < 1e-12);
    }

    /// About -2 mV/K for silicon: every circuits text; here at 0.1 A.
    #[test]
    fn a_hot_junction_drops_less() {
        let drop_at = |celsius| {
            let junction = Junction { celsius, ..Junction::ONE_AMP_SILICON };
            volts(DiodeString::new(Diode::Junction(junction), 1.0), 0.1, 0.0)
        };
        let per_kelvin = (drop_at(77.0) - drop_at(27.0)) / 50.0;
        assert!((-2.6e-3..-1.0e-3).contains(&per_kelvin), "{per_kelvin}");
    }
}
