//! One thing that is wrong in a text, with a code that stays the same for ever.

use super::{Span, cut};

/// The longest message, label or help (characters): a screen of words.
const MESSAGE_MAX: usize = 2_000;

/// How much a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The text can't be used as it is.
    Error,
    /// The text can be used, but someone should look.
    Warning,
}

/// One thing that is wrong in a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// Three letters and three digits, never given to anything else.
    pub code: &'static str,
    /// The name, which reads after "allow ...".
    pub name: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// What is wrong, in a lowercase sentence without a full stop.
    pub message: String,
    /// Where, if it has a place.
    pub span: Option<Span>,
    /// What the text at the span is, in a few words; may be empty.
    pub label: String,
    /// Other places that matter, each with a few words.
    pub related: Vec<(Span, String)>,
    /// What to do about it.
    pub help: Option<String>,
}

impl Finding {
    /// Starts a finding that stops the text from being used.
    pub fn error(code: &'static str, name: &'static str, message: impl Into<String>) -> Self {
        Self::new(code, name, Severity::Error, message.into())
    }

    /// Starts a finding that someone should look at.
    pub fn warning(code: &'static str, name: &'static str, message: impl Into<String>) -> Self {
        Self::new(code, name, Severity::Warning, message.into())
    }

    fn new(code: &'static str, name: &'static str, severity: Severity, message: String) -> Self {
        // It may repeat a value of a megabyte.
        let message = cut(&message, MESSAGE_MAX).into_owned();
        Self {
            code,
            name,
            severity,
            message,
            span: None,
            label: String::new(),
            related: Vec::new(),
            help: None,
        }
    }

    /// Adds the place.
    #[must_use]
    pub fn at(mut self, span: impl Into<Span>) -> Self {
        self.span = Some(span.into());
        self
    }

    /// Adds a few words under the place.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = cut(&label.into(), MESSAGE_MAX).into_owned();
        self
    }

    /// Adds another place that matters.
    #[must_use]
    pub fn related(mut self, span: impl Into<Span>, label: impl Into<String>) -> Self {
        self.related.push((span.into(), label.into()));
        self
    }

    /// Adds what to do about it.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(cut(&help.into(), MESSAGE_MAX).into_owned());
        self
    }

    /// Adds what to do about it, where that is known.
    #[must_use]
    pub fn help_if(self, help: Option<String>) -> Self {
        match help {
            Some(help) => self.help(help),
            None => self,
        }
    }
}
