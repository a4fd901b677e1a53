//! Why a value could not be worked out: codes and values, from which the sentence is made where it is shown.

use serde::{Deserialize, Serialize};

use super::Source;
use crate::formula::FormulaError;
use crate::quantity::{Quantity, Unit};
use crate::window::WindowError;

/// Why a value, a limit or a setting could not be worked out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Unworkable {
    /// A formula gives no usable value.
    #[error(transparent)]
    Formula(#[from] FormulaError),
    /// The limits of a window contradict each other.
    #[error(transparent)]
    Window(#[from] WindowError),
    /// A window has no limit.
    #[error("the window has no limit")]
    NoLimit,
    /// A window around a value does not say how wide it is.
    #[error("`near` and `like` need `within`")]
    NoWidth,
    /// Nothing says how far two readings may be apart.
    #[error("`agree_within` is missing")]
    NoAgreement,
    /// A time that nobody can wait for.
    #[error("a duration is between 0 s and a week")]
    Duration,
    /// Fewer readings than two, or more than a person can be asked for.
    #[error("a watch takes 2 to {most} readings")]
    Pace {
        /// The most there may be.
        most: u64,
    },
    /// A ceiling under which nothing can be delivered.
    #[error("the ceiling comes to {}: it has to be above zero", shown(.limit))]
    NothingUnder {
        /// What it comes to.
        limit: Quantity,
    },
    /// A ceiling that no such source has.
    #[error(
        "a ceiling of {} is not credible: {} has {} to {}",
        shown(.limit), .feed.words(), plain(.limit, *.low), plain(.limit, *.high)
    )]
    IncredibleCeiling {
        /// What it comes to.
        limit: Quantity,
        /// The source.
        feed: Source,
        /// The least that such a source has, in the base unit.
        low: i64,
        /// The most that it has, in the base unit.
        high: i64,
    },
    /// A ceiling above what a supply can be asked for.
    #[error("the ceiling of {} is above the {} of output `{output}`", shown(.limit), shown(.most))]
    CeilingAboveOutput {
        /// What it comes to.
        limit: Quantity,
        /// The most that the output takes.
        most: Quantity,
        /// The output.
        output: String,
    },
    /// A setting below zero.
    #[error("a source is set to {}: that is below zero", shown(.to))]
    SetBelowZero {
        /// The setting.
        to: Quantity,
    },
    /// A setting above the ceiling of its stage.
    #[error("{} is to be set, above the stage's ceiling of {}", shown(.to), shown(.ceiling))]
    SetAboveCeiling {
        /// The setting.
        to: Quantity,
        /// The ceiling.
        ceiling: Quantity,
    },
    /// The sentence alone, as earlier records have it.
    #[error("{0}")]
    #[serde(untagged)]
    Said(String),
}

fn shown(value: &Quantity) -> String {
    value.engineering_exact(None)
}

/// A number in the base unit of what is limited.
fn plain(limit: &Quantity, number: i64) -> String {
    format!("{number} {}", Unit::base(limit.dimension).symbol())
}

impl Unworkable {
    /// What to do about it, in words.
    #[must_use]
    pub fn help(&self) -> Option<String> {
        match self {
            Self::Formula(error) => error.help(),
            Self::Pace { .. } => Some("change `every` or `time`".to_owned()),
            Self::Window(_)
            | Self::NoLimit
            | Self::NoWidth
            | Self::NoAgreement
            | Self::Duration
            | Self::NothingUnder { .. }
            | Self::IncredibleCeiling { .. }
            | Self::CeilingAboveOutput { .. }
            | Self::SetBelowZero { .. }
            | Self::SetAboveCeiling { .. }
            | Self::Said(_) => None,
        }
    }
}
