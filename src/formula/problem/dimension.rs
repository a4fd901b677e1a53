//! Values that do not measure what they have to.

use serde::{Deserialize, Serialize};

use crate::formula::operator::Operator;
use crate::quantity::Dimension;

/// What does not fit of what values measure.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum DimensionProblem {
    /// Two values that this can't be done with.
    #[error("{}", not_combined(*.operator, *.left, *.right))]
    NotCombined {
        /// What was to be done.
        operator: Operator,
        /// What the left one measures.
        left: Dimension,
        /// What the right one measures.
        right: Dimension,
    },
    /// Two values of which none is the larger.
    #[error("{} and {} can't be compared", described(*.left), described(*.right))]
    NotCompared {
        /// What the left one measures.
        left: Dimension,
        /// What the right one measures.
        right: Dimension,
    },
    /// A minus before what has none.
    #[error("{} can't be negated", described(*.of))]
    NotNegated {
        /// What it measures.
        of: Dimension,
    },
    /// A power of what has none.
    #[error("{} can't be raised to the power {exponent}", described(*.of))]
    NotRaised {
        /// What it measures.
        of: Dimension,
        /// The power.
        exponent: i8,
    },
    /// A function of what has no such thing.
    #[error("{}", lacking(*.of, *.what))]
    Lacks {
        /// What it measures.
        of: Dimension,
        /// What that does not have.
        what: Lacking,
    },
    /// A choice between unlike values.
    #[error("this is {}, but after `then` stands {}", described(*.otherwise), described(*.then))]
    Uneven {
        /// What the first one measures.
        then: Dimension,
        /// What the second one measures.
        otherwise: Dimension,
    },
    /// A value of a function that measures something else.
    #[error("`{name}` is {}; {} can't be put there", described(*.wanted), described(*.found))]
    Argument {
        /// The value's name.
        name: String,
        /// What it measures.
        wanted: Dimension,
        /// What was put there.
        found: Dimension,
    },
    /// A value with a unit where a bare number belongs.
    #[error("a plain number or a ratio belongs here, not {}", .found.name())]
    NotANumber {
        /// What it measures.
        found: Dimension,
    },
    /// No level where one belongs.
    #[error("a level in dB belongs here, not {}", described(*.found))]
    NotALevel {
        /// What it measures.
        found: Dimension,
    },
}

/// What not every kind of value has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Lacking {
    /// A size, whatever its sign.
    Size,
    /// A difference of two of them.
    Differences,
    /// A ratio of two of them.
    Ratios,
    /// A square root.
    SquareRoot,
}

/// Names a dimension inside a sentence.
fn described(dimension: Dimension) -> String {
    if dimension == Dimension::NONE { "plain number".to_owned() } else { dimension.name() }
}

fn not_combined(operator: Operator, left: Dimension, right: Dimension) -> String {
    let (left, right) = (described(left), described(right));
    match operator {
        Operator::Add => format!("{left} and {right} can't be added"),
        Operator::Subtract => format!("{right} can't be subtracted from {left}"),
        Operator::Multiply => format!("{left} and {right} can't be multiplied"),
        Operator::Divide => format!("{left} can't be divided by {right}"),
    }
}

fn lacking(of: Dimension, what: Lacking) -> String {
    let of = described(of);
    match what {
        // Nothing but a place on the Celsius scale has none.
        Lacking::Size => {
            "a Celsius temperature has no size of its own; subtract another temperature first"
                .to_owned()
        }
        Lacking::Differences => format!("{of} has no differences"),
        Lacking::Ratios => format!("{of} has no ratios, only differences"),
        Lacking::SquareRoot => format!("{of} has no square root"),
    }
}

impl DimensionProblem {
    /// What to do about it, in words.
    pub(super) fn help(&self) -> Option<&'static str> {
        match *self {
            Self::NotCombined { left, right, .. } | Self::NotCompared { left, right } => {
                help_for(&[left, right])
            }
            Self::NotNegated { of } | Self::NotRaised { of, .. } => help_for(&[of]),
            Self::Uneven { .. } => Some("both values of an `if` measure the same"),
            Self::Lacks { .. }
            | Self::Argument { .. }
            | Self::NotANumber { .. }
            | Self::NotALevel { .. } => None,
        }
    }
}

fn help_for(dimensions: &[Dimension]) -> Option<&'static str> {
    if dimensions.contains(&Dimension::CELSIUS) {
        Some("a Celsius temperature only moves by a difference: write differences in K")
    } else if dimensions.contains(&Dimension::LEVEL) {
        Some("levels in dB are only added, subtracted and scaled")
    } else if dimensions.contains(&Dimension::NONE) {
        Some("does the number lack its unit, as in `15 mA`?")
    } else {
        None
    }
}
