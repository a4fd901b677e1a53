//! What is wrong with a formula.

use std::ops::Range;

use crate::quantity::Dimension;

/// What is wrong with a formula, and where in its text.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct FormulaError {
    /// The bytes of the text it is about.
    pub at: Range<usize>,
    /// What is wrong.
    pub message: String,
    /// What to do about it.
    pub help: Option<String>,
}

impl FormulaError {
    pub(super) fn new(at: &Range<usize>, message: impl Into<String>) -> Self {
        Self { at: at.clone(), message: message.into(), help: None }
    }

    pub(super) fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// Offers the word that was meant, if there is one.
    pub(super) fn meant(mut self, word: Option<&str>) -> Self {
        self.help = word.map(|word| format!("did you mean `{word}`?"));
        self
    }
}

/// Names a dimension inside a sentence.
pub(super) fn described(dimension: Dimension) -> String {
    if dimension == Dimension::NONE { "plain number".to_owned() } else { dimension.name() }
}
