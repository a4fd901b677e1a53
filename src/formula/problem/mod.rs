//! What can be wrong with a formula: codes and values, from which the sentence is made where it is shown.
//!
//! They stand in records: a name that was given here stays.

mod call;
mod dimension;
mod text;

use serde::{Deserialize, Serialize};

use call::did_you_mean;
pub(super) use call::{CallProblem, WordKind};
pub(super) use dimension::{DimensionProblem, Lacking};
pub(super) use text::{TextProblem, Wanted};

use crate::physics::lamp::LampError;
use crate::physics::rectifier::SupplyError;
use crate::physics::safety_limits::RULE_SETS;
use crate::quantity::Unit;

/// What is wrong with a formula, or with the values that it is worked out from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Problem {
    /// It can't be read.
    #[error(transparent)]
    Text(#[from] TextProblem),
    /// A function is not called as it wants to be.
    #[error(transparent)]
    Call(#[from] CallProblem),
    /// What is put together does not measure what it has to.
    #[error(transparent)]
    Dimension(#[from] DimensionProblem),
    /// A name that nothing has.
    #[error("nothing is called `{name}`")]
    Unknown {
        /// The name.
        name: String,
        /// The one that was meant, if any is near.
        meant: Option<String>,
    },
    /// A name whose reading is still to come.
    #[error("`{name}` has no reading yet")]
    NoReading {
        /// The name.
        name: String,
    },
    /// Several readings of one name, not all of one kind.
    #[error("the readings of `{name}` measure different things")]
    MixedReadings {
        /// The name.
        name: String,
    },
    /// Several readings where one value belongs.
    #[error("`{name}` stands for {count} readings here")]
    SeveralReadings {
        /// The name.
        name: String,
        /// How many.
        count: usize,
    },
    /// A divisor of zero.
    #[error("this is zero, and nothing can be divided by zero")]
    DividesByZero,
    /// A value beyond all numbers.
    #[error("this gives no finite number")]
    NotFinite,
    /// A value that is known, and not how well.
    #[error("the uncertainty of this is not finite")]
    UncertaintyNotFinite,
    /// A value whose uncertainty reaches to where the function has no result.
    #[error("there is no result within the uncertainty of this value")]
    NoResultNearby,
    /// The logarithm of zero or of a negative number.
    #[error("only a number above zero has a logarithm")]
    NoLogarithm,
    /// The square root of a negative number.
    #[error("a negative number has no square root")]
    NoSquareRoot,
    /// The ratio of values of which some are below zero, or zero.
    #[error("a ratio of extremes needs values that are all above zero or all below")]
    MixedSigns,
    /// A capacitor that never charges.
    #[error("the limit leaves nothing over the idle current")]
    NothingToCharge,
    /// A figure that nobody has seen in print.
    #[error("the figure of {} is from memory: look it up and write it", titled(.rules))]
    FromMemory {
        /// The rule set's word.
        rules: String,
    },
    /// A figure that a rule set does not have.
    #[error("{} has no figure for this, or none was seen", titled(.rules))]
    NoFigure {
        /// The rule set's word.
        rules: String,
    },
    /// A supply without a steady state.
    #[error(transparent)]
    Supply(#[from] SupplyError),
    /// A lamp without an operating point.
    #[error(transparent)]
    Lamp(#[from] LampError),
}

/// What a rule set is called in a sentence.
fn titled(word: &str) -> &str {
    RULE_SETS.iter().find(|rules| rules.word == word).map_or(word, |rules| rules.name)
}

impl Problem {
    /// What to do about it, in words.
    pub(super) fn help(&self) -> Option<String> {
        match self {
            Self::Text(problem) => problem.help().map(str::to_owned),
            Self::Call(problem) => problem.help(),
            Self::Dimension(problem) => problem.help().map(str::to_owned),
            Self::Unknown { meant: Some(meant), .. } => Some(did_you_mean(meant)),
            // A unit standing alone is the likeliest slip.
            Self::Unknown { name, meant: None } => Unit::parse(name)
                .is_ok()
                .then(|| format!("a unit stands right after its number, as in `1 {name}`")),
            Self::SeveralReadings { name, .. } => {
                Some(format!("name one of them, or write `max({name})` or `mean({name})`"))
            }
            Self::UncertaintyNotFinite => {
                Some("its value is where the result changes without limit".to_owned())
            }
            Self::NoReading { .. }
            | Self::MixedReadings { .. }
            | Self::DividesByZero
            | Self::NotFinite
            | Self::NoResultNearby
            | Self::NoLogarithm
            | Self::NoSquareRoot
            | Self::MixedSigns
            | Self::NothingToCharge
            | Self::FromMemory { .. }
            | Self::NoFigure { .. }
            | Self::Supply(_)
            | Self::Lamp(_) => None,
        }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;
    use crate::formula::FormulaError;
    use crate::quantity::Dimension;

    #[test]
    fn a_problem_is_kept_as_a_code_with_its_values() {
        let kept = |problem: Problem| {
            let error = FormulaError::new(&(3..7), problem);
            let text = serde_json::to_string(&error).unwrap();
            assert_eq!(serde_json::from_str::<FormulaError>(&text).unwrap(), error, "{text}");
            text
        };
        let at = r#"{"at":{"start":3,"end":7},"problem":"#;
        assert_eq!(kept(Problem::DividesByZero), format!("{at}\"divides_by_zero\"}}"));
        let never = SupplyError::NeverConducts { drop_v: 1.4, crest_v: 0.1 };
        assert_eq!(
            kept(never.into()),
            format!(r#"{at}{{"supply":{{"never_conducts":{{"drop_v":1.4,"crest_v":0.1}}}}}}}}"#)
        );
        let unlike = DimensionProblem::NotCompared {
            left: Dimension::CELSIUS,
            right: Dimension::VOLTAGE.over(Dimension::TIME).unwrap(),
        };
        assert_eq!(
            kept(unlike.into()),
            format!(r#"{at}{{"dimension":{{"not_compared":{{"left":"degC","right":"V/s"}}}}}}}}"#)
        );
    }
}
