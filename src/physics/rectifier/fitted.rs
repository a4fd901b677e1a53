//! Which rectifier is fitted: by the load, as a shop would choose it.

use std::fmt;

use super::diode::{Diode, Junction};

/// Direct current up to which single diodes of 1 A and of 3 A are taken, A (their ratings).
const SMALL_A: f64 = 1.0;
const STANDARD_A: f64 = 3.0;

/// Bridges that are sold, by their direct current, A (common practice, no source).
const BRIDGES_A: [f64; 8] = [4.0, 6.0, 8.0, 10.0, 15.0, 25.0, 35.0, 50.0];

/// A bridge is fitted for this many times its load, as it runs hot and takes the charging pulses (common practice, no
/// source).
const HEADROOM: f64 = 2.0;

/// A kind of rectifier, whose size decides how many volts it drops.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fitted {
    /// Diodes of 1 A, of the 1N400x class.
    Small,
    /// Diodes of 3 A, of the 1N540x class.
    Standard,
    /// A bridge for so much direct current, A.
    Bridge(f64),
    /// Diodes that drop so much each, V, whatever flows: Schottky diodes, by their sheet.
    Drop(f64),
}

impl Fitted {
    /// The rectifier to expect for a load of so much direct current, A.
    #[must_use]
    pub fn for_load(ampere: f64) -> Self {
        let bridge = || BRIDGES_A.into_iter().find(|rated| *rated >= HEADROOM * ampere);
        match ampere {
            small if small <= SMALL_A => Self::Small,
            standard if standard <= STANDARD_A => Self::Standard,
            // A load beyond all of them has several in parallel, or one as large.
            _ => Self::Bridge(bridge().unwrap_or(HEADROOM * ampere)),
        }
    }

    /// Each of its diodes.
    #[must_use]
    pub fn diode(self) -> Diode {
        let junction = match self {
            Self::Small => Junction::ONE_AMP_SILICON,
            Self::Standard => Junction::ONE_AMP_SILICON.times_as_large(STANDARD_A / SMALL_A),
            Self::Bridge(ampere) => Junction::OF_A_25_AMP_BRIDGE.times_as_large(ampere / 25.0),
            Self::Drop(volts) => return Diode::Drop(volts),
        };
        Diode::Junction(junction)
    }
}

impl fmt::Display for Fitted {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Small => formatter.write_str("small diodes of 1 A (1N400x class)"),
            Self::Standard => formatter.write_str("standard diodes of 3 A (1N540x class)"),
            Self::Bridge(ampere) => write!(formatter, "a bridge of {ampere} A"),
            Self::Drop(volts) => write!(formatter, "diodes that drop {volts} V each"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Load, RailSupply, Topology};
    use super::*;

    #[test]
    fn the_load_chooses_with_headroom() {
        for (ampere, fitted) in [
            (0.0, Fitted::Small),
            (1.0, Fitted::Small),
            (1.01, Fitted::Standard),
            (3.0, Fitted::Standard),
            (3.01, Fitted::Bridge(8.0)),
            (8.0, Fitted::Bridge(25.0)),
            (100.0, Fitted::Bridge(200.0)),
        ] {
            assert_eq!(Fitted::for_load(ampere), fitted, "{ampere}");
        }
    }

    /// Drops in makers' sheets, from memory: 0.92 V at 12.5 A and 1.43 V at 50 A in each diode of a 25 A bridge; 1.0 V at
    /// 1 A (1.1 V at most) in a diode of 1 A.
    #[test]
    fn drops_are_those_of_makers_sheets() {
        let drop = |fitted: Fitted, ampere: f64| {
            let Diode::Junction(junction) = fitted.diode() else { return f64::NAN };
            let thermal = 0.025_864;
            junction.ideality * thermal * (1.0 + ampere / junction.saturation_a).ln()
                + ampere * junction.series_ohm
        };
        for (fitted, ampere, volts, within) in [
            (Fitted::Bridge(25.0), 12.5, 0.92, 0.01),
            (Fitted::Bridge(25.0), 50.0, 1.43, 0.01),
            (Fitted::Small, 1.0, 1.0, 0.1),
            (Fitted::Standard, 3.0, 1.0, 0.1),
        ] {
            let found = drop(fitted, ampere);
            assert!((found - volts).abs() < within, "{fitted} at {ampere} A: {found} V");
        }
    }

    /// With the small diode's constants the rail of a 12 V winding at 8 A came out a tenth low.
    #[test]
    fn a_large_load_has_no_small_diode() {
        let rail = |fitted: Fitted| {
            let supply = RailSupply {
                topology: Topology::Bridge,
                secondary_v: 12.0,
                winding_ohm: 0.05,
                mains_hz: 50.0,
                diode: fitted.diode(),
                reservoir_f: 47e-3,
                load: Load::Current(8.0),
            };
            supply.steady().map_or(f64::NAN, |rail| rail.average_v)
        };
        let chosen = rail(Fitted::for_load(8.0));
        let low = 1.0 - rail(Fitted::Small) / chosen;
        assert!((0.05..0.15).contains(&low), "{low}");
    }
}
