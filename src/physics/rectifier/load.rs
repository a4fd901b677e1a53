//! What a rail feeds, and the reservoir falling into it while no diode conducts.

/// What a rail feeds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Load {
    /// A constant current in amperes; a rail at zero volts gives it only what the diodes bring.
    Current(f64),
    /// A resistance in ohms.
    Resistance(f64),
}

/// The reservoir over a time in which no diode conducts, with the integrals over that time.
#[derive(Debug, Clone, Copy)]
pub(super) struct ReservoirFall {
    pub(super) end_v: f64,
    /// How steeply the end rises with the start.
    pub(super) slope: f64,
    /// Integral of the voltage, V s.
    pub(super) volt_seconds: f64,
    /// Integral of the voltage squared, V^2 s.
    pub(super) square_seconds: f64,
}

impl Load {
    /// The exact fall of `farad` from `start_v` over `seconds`.
    pub(super) fn fall(self, farad: f64, start_v: f64, seconds: f64) -> ReservoirFall {
        match self {
            Self::Current(ampere) => {
                let rate = ampere / farad;
                let falling = if rate * seconds > start_v { start_v / rate } else { seconds };
                let end_v = (start_v - rate * seconds).max(0.0);
                let squares = start_v * start_v + start_v * end_v + end_v * end_v;
                ReservoirFall {
                    end_v,
                    slope: if end_v > 0.0 { 1.0 } else { 0.0 },
                    volt_seconds: 0.5 * (start_v + end_v) * falling,
                    square_seconds: squares * falling / 3.0,
                }
            }
            Self::Resistance(ohm) => {
                let constant_s = ohm * farad;
                let lost = -(-seconds / constant_s).exp_m1();
                let end_v = start_v * (1.0 - lost);
                ReservoirFall {
                    end_v,
                    slope: 1.0 - lost,
                    volt_seconds: constant_s * start_v * lost,
                    square_seconds: 0.5 * constant_s * (start_v + end_v) * start_v * lost,
                }
            }
        }
    }

    /// The reservoir's voltage after an implicit step, as a line in the diode current: volts at zero current, and ohms.
    ///
    /// `start_v` is the voltage the step works from and `ohm` is its length over the capacitance.
    pub(super) fn step_line(self, start_v: f64, ohm: f64) -> (f64, f64) {
        match self {
            Self::Current(ampere) => (start_v - ohm * ampere, ohm),
            Self::Resistance(load_ohm) => {
                let share = load_ohm / (load_ohm + ohm);
                (start_v * share, ohm * share)
            }
        }
    }

    /// Mean power in the load, from the mean of the voltage and of its square.
    pub(super) fn power_w(self, mean_v: f64, mean_square: f64) -> f64 {
        match self {
            Self::Current(ampere) => ampere * mean_v,
            Self::Resistance(ohm) => mean_square / ohm,
        }
    }
}
