//! How far the parts of a sound set are off their values, and how that is spread.

use serde::Deserialize;

use super::At;

/// The key of the mains among the tolerances.
pub const MAINS: &str = "mains";

/// How far something is off in a sound set.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PartTolerance {
    /// The most, either way, of its value: `5 %`.
    pub within: At<String>,
    /// How that is spread (default: even).
    pub shape: Option<At<SpreadShape>>,
    /// Of `mains`: the facts of the equipment that rise and fall with it.
    #[serde(default)]
    pub moves: Vec<At<String>>,
}

/// How what is off is spread.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, serde::Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum SpreadShape {
    /// Every value within is as likely as any other.
    #[default]
    Even,
    /// The normal distribution of which three standard deviations lie within, and nothing beyond.
    Bell,
}

impl SpreadShape {
    /// The word for it in a circuit file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Even => "even",
            Self::Bell => "bell",
        }
    }
}

impl PartTolerance {
    /// The most that it is off, as a share of its value; none for zero, for a minus, for all of it and more, and for what is no percentage.
    #[must_use]
    pub fn share(&self) -> Option<f64> {
        let percent = self.within.trim().strip_suffix('%')?.trim().parse::<f64>().ok()?;
        (percent > 0.0 && percent < 100.0).then_some(percent / 100.0)
    }
}
