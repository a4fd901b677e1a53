//! Why a protection acted: codes and values, from which the sentence is made where it is shown.

use serde::{Deserialize, Serialize};

use crate::quantity::{Quantity, Reading, Unit};
use crate::window::Bounds;

/// Why a protection acted.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum TripCause {
    /// A sample that is not as it has to be.
    #[error("{point}: {sample}")]
    Sample {
        /// Where it was taken.
        point: String,
        /// What is wrong with it.
        sample: SampleFault,
    },
    /// A supply that limits the current where it should not come to that.
    #[error("{output}: the supply limits the current")]
    Limiting {
        /// The output.
        output: String,
    },
    /// An output that was left on, and is off.
    #[error("output {output} went off by itself: what is read behind it means nothing")]
    WentOff {
        /// The output.
        output: String,
    },
    /// An output that somebody turned up.
    #[error("output {output} is set to {set}, above the {most} of its stage")]
    SetAbove {
        /// The output.
        output: String,
        /// What it is set to.
        set: Quantity,
        /// The ceiling of its stage.
        most: Quantity,
    },
    /// An output that delivers more than its stage allows.
    #[error("output {output} measures {measured}, above the {most} of its stage")]
    MeasuredAbove {
        /// The output.
        output: String,
        /// What it says that it delivers.
        measured: Quantity,
        /// The ceiling of its stage.
        most: Quantity,
    },
    /// What somebody else fired it with, or the sentence of an earlier version.
    #[error("{0}")]
    #[serde(untagged)]
    Said(String),
}

/// What is wrong with a sample.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum SampleFault {
    /// Outside its window.
    #[error("{}", outside(.reading, .unit, .window))]
    Outside {
        /// The value.
        reading: Reading,
        /// The unit it is shown in.
        unit: Unit,
        /// Its window.
        window: Box<Bounds>,
    },
    /// Beyond the meter's range.
    #[error("over range")]
    OverRange,
    /// What instruments send in the place of a number.
    #[error("no number")]
    NotANumber,
    /// A reply that can't be read as a number.
    #[error("`{reply}` is no number")]
    Unread {
        /// The reply, without what a terminal would obey.
        reply: String,
    },
}

fn outside(reading: &Reading, unit: &Unit, window: &Bounds) -> String {
    let why = window.why_outside(reading, Some(unit));
    match reading {
        Reading::Number(quantity) => format!("{} {why}", quantity.engineering_exact(Some(unit))),
        Reading::OverRange | Reading::NotANumber => why,
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;

    #[test]
    fn a_cause_is_kept_with_its_values_and_the_sentence_of_an_earlier_version_as_it_is() {
        let limit = Quantity::parse("60 mA").unwrap();
        let sample = SampleFault::Outside {
            reading: Reading::Number(Quantity::parse("60.1 mA").unwrap()),
            unit: Unit::parse("A").unwrap(),
            window: Box::new(Bounds::at_most(limit)),
        };
        let point = "plus.current".to_owned();
        for sample in [sample, SampleFault::OverRange, SampleFault::NotANumber] {
            let cause = TripCause::Sample { point: point.clone(), sample };
            let kept = serde_json::to_string(&cause).unwrap();
            assert_eq!(serde_json::from_str::<TripCause>(&kept).unwrap(), cause, "{kept}");
            let said = cause.to_string();
            let former: TripCause = serde_json::from_str(&format!("{said:?}")).unwrap();
            assert_eq!(former, TripCause::Said(said));
        }
    }
}
