//! Verification by a second person.

use serde::Deserialize;

use super::acceptance::width;
use super::step::{Kind, Step};
use super::{Stage, ValueLookup};
use crate::record::Unworkable;
use crate::window::Within;

/// How a second person verifies a step. The two ways are those of DOE-STD-1036-93, p. 18.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Verify {
    /// A reading is taken again by somebody who does not know the first.
    Independent,
    /// Two people say what is to be switched and agree; then one acts while the other watches.
    Concurrent,
}

impl Step {
    /// Tells whether a second person takes its reading again.
    #[must_use]
    pub fn is_read_twice(&self) -> bool {
        self.read.is_some() && self.is_verified(Verify::Independent)
    }

    fn is_verified(&self, how: Verify) -> bool {
        self.verify.as_ref().is_some_and(|verify| verify.value == how)
    }

    /// Tells whether it is an act of switching: a `do`, or a `set` that switches nothing off.
    #[must_use]
    pub fn is_switching(&self) -> bool {
        self.r#do.is_some() || self.brings_on()
    }

    fn brings_on(&self) -> bool {
        self.set.as_ref().is_some_and(|set| !set.is_off())
    }

    /// How far the second reading may be from the first; none where nothing is written.
    ///
    /// # Errors
    /// An expression without a usable value.
    pub fn agreement(&self, values: &ValueLookup<'_>) -> Result<Option<Within>, Unworkable> {
        let unit = self.kind().and_then(Kind::unit);
        let written = self.agree_within.as_ref().zip(unit);
        written.map(|(within, unit)| width(within, unit.dimension(), values)).transpose()
    }
}

impl Stage {
    /// The step that brings its source on.
    #[must_use]
    pub fn first_on(&self) -> Option<usize> {
        self.steps.iter().position(Step::brings_on)
    }

    /// Tells whether two people agree before this step of it is done: by its own word, or by the stage's where it is the
    /// one that brings the source on.
    #[must_use]
    pub fn is_agreed_on(&self, step: usize) -> bool {
        let of_stage =
            self.verify.as_ref().is_some_and(|verify| verify.value == Verify::Concurrent);
        let of_step = |each: &Step| each.is_switching() && each.is_verified(Verify::Concurrent);
        (of_stage && self.first_on() == Some(step)) || self.steps.get(step).is_some_and(of_step)
    }
}
