//! What a filament's temperature looks like to a person.

use std::fmt;

/// First faint glow of any hot body, K: the Draper point.
const DRAPER_K: f64 = 798.0;
/// Thresholds of our own, between the Draper point and a lamp at rated volts (about 2750 K): the filament can be seen
/// in a lit room, the lamp lights what is near it, the lamp can't be told from one straight on the mains.
const SEEN_IN_A_LIT_ROOM_K: f64 = 1100.0;
const LIGHTS_ITS_SURROUNDINGS_K: f64 = 1900.0;
const AS_ON_THE_MAINS_K: f64 = 2500.0;

/// How a lamp glows, from dark to full.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Glow {
    /// Below the Draper point, 798 K.
    Dark,
    /// Up to 1100 K: seen only with the lamp shaded.
    Faint,
    /// Up to 1900 K.
    DimOrange,
    /// Up to 2500 K.
    Bright,
    /// Above: as if straight on the mains.
    Full,
}

impl Glow {
    /// The glow of a filament at a temperature in kelvin.
    #[must_use]
    pub fn at(kelvin: f64) -> Self {
        match kelvin {
            dark if dark < DRAPER_K => Self::Dark,
            faint if faint < SEEN_IN_A_LIT_ROOM_K => Self::Faint,
            dim if dim < LIGHTS_ITS_SURROUNDINGS_K => Self::DimOrange,
            bright if bright < AS_ON_THE_MAINS_K => Self::Bright,
            _ => Self::Full,
        }
    }
}

impl fmt::Display for Glow {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(match self {
            Self::Dark => "dark",
            Self::Faint => "faint red, seen only with the lamp shaded",
            Self::DimOrange => "dim orange",
            Self::Bright => "bright",
            Self::Full => "full, as if straight on the mains",
        })
    }
}
