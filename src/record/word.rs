//! Words shared by procedures, runs and reports.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::quantity::Quantity;

/// What energises the equipment in a stage, in rising order of what it can deliver.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Source {
    /// Nothing: plug out, bench supply disconnected.
    None,
    /// A bench supply with voltage and current limits.
    BenchSupply,
    /// The mains through a series filament lamp.
    MainsThroughLamp,
    /// The mains through a variable transformer.
    MainsVariable,
    /// The mains itself.
    Mains,
}

impl Source {
    /// Tells whether mains voltage reaches the equipment.
    #[must_use]
    pub fn is_mains(self) -> bool {
        self >= Self::MainsThroughLamp
    }

    /// The source in the words of a screen.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::None => "nothing connected",
            Self::BenchSupply => "bench supply",
            Self::MainsThroughLamp => "mains through the lamp",
            Self::MainsVariable => "mains through the variable transformer",
            Self::Mains => "direct mains",
        }
    }
}

/// What a person needs a role for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Duty {
    /// Letting a source come on.
    Energise,
    /// Proving dead, to go on working.
    ProveDead,
    /// The steps of a stage that tests safety.
    SafetyTest,
    /// Releasing a hold point.
    Release,
    /// Accepting a reading or a calibration as it is.
    Concede,
    /// Declaring a record void, away from the bench.
    Void,
    /// Approving the people file itself, away from the bench.
    Approve,
}

impl Duty {
    /// All of them, in the order of a people file.
    pub const ALL: [Self; 7] = [
        Self::Energise,
        Self::ProveDead,
        Self::SafetyTest,
        Self::Release,
        Self::Concede,
        Self::Void,
        Self::Approve,
    ];

    /// The duty in words, as in "to energise".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Energise => "energise",
            Self::ProveDead => "prove dead",
            Self::SafetyTest => "test safety",
            Self::Release => "release a hold",
            Self::Concede => "accept as it is",
            Self::Void => "void a record",
            Self::Approve => "approve the people file",
        }
    }
}

/// The most a source can deliver in a stage.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Ceiling {
    /// Highest voltage (V; RMS on the mains).
    pub voltage: Quantity,
    /// Highest current (A).
    pub current: Quantity,
}

impl fmt::Display for Ceiling {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, {}", self.voltage.engineering(3, None), self.current.engineering(3, None))
    }
}

/// What is known of the energy in the equipment. There is no state for "probably".
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Energy {
    /// Nothing is known: treat as live.
    Unknown,
    /// The source is off and disconnected; stored charge is not yet proved gone.
    Isolated,
    /// Every point that can hold charge was measured dead with a proved meter.
    ProvedDead,
    /// A source is or may be feeding the equipment.
    Energised {
        /// What feeds it.
        source: Source,
        /// The most it can deliver.
        ceiling: Option<Ceiling>,
    },
}

impl Energy {
    /// Tells whether a source is or may be feeding the equipment.
    #[must_use]
    pub fn is_energised(&self) -> bool {
        matches!(self, Self::Energised { .. })
    }

    /// The state in the words of a screen.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Unknown => "ENERGY STATE UNKNOWN: treat as live".to_owned(),
            Self::Isolated => "isolated, NOT proved dead".to_owned(),
            Self::ProvedDead => "proved dead".to_owned(),
            Self::Energised { source, ceiling: None } => format!("LIVE: {}", source.words()),
            Self::Energised { source, ceiling: Some(ceiling) } => {
                format!("LIVE: {}, up to {ceiling}", source.words())
            }
        }
    }
}

/// The signal word of a hazard notice (ANSI Z535.4 and Z535.6; ISO 3864-2 uses the same words).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Signal {
    /// No injury: property only.
    Notice,
    /// Could result in minor or moderate injury.
    Caution,
    /// Could result in death or serious injury.
    Warning,
    /// Will result in death or serious injury.
    Danger,
}

impl Signal {
    /// The word as printed on the notice.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Notice => "NOTICE",
            Self::Caution => "CAUTION",
            Self::Warning => "WARNING",
            Self::Danger => "DANGER",
        }
    }
}
