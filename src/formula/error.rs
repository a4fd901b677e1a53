//! What is wrong with a formula, and where.

use std::ops::Range;

use serde::{Deserialize, Serialize};

use super::problem::Problem;

/// What is wrong with a formula, and where in its text.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[error("{problem}")]
pub struct FormulaError {
    /// The bytes of the text it is about.
    pub at: Range<usize>,
    /// What is wrong.
    pub problem: Problem,
}

impl FormulaError {
    pub(super) fn new(at: &Range<usize>, problem: impl Into<Problem>) -> Self {
        Self { at: at.clone(), problem: problem.into() }
    }

    /// What to do about it, in words.
    #[must_use]
    pub fn help(&self) -> Option<String> {
        self.problem.help()
    }
}
