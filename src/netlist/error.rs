//! A line of a netlist that is not taken.

use crate::diagnostic::Span;

/// Why a netlist is not taken, and which line it is about.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct NetlistError {
    /// Where.
    pub span: Span,
    /// What is wrong, in a lowercase sentence without a full stop.
    pub message: String,
    /// What to do about it.
    pub help: Option<String>,
}

impl NetlistError {
    pub(super) fn new(span: Span, message: impl Into<String>) -> Self {
        Self { span, message: message.into(), help: None }
    }

    pub(super) fn help(self, help: impl Into<String>) -> Self {
        Self { help: Some(help.into()), ..self }
    }
}
