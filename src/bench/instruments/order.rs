//! What is sent to an instrument at once.

use crate::bench::link::{Cutter, Link, LinkError, Message};
use crate::diagnostic::clean;

/// A message to an instrument, with what has to go directly before it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Order {
    /// The selection of a channel that is a message of its own.
    pub select: Option<String>,
    /// The message.
    pub text: String,
}

impl From<String> for Order {
    fn from(text: String) -> Self {
        Self { select: None, text }
    }
}

impl Order {
    /// Sends it now, whatever else is under way on the line.
    ///
    /// # Errors
    /// A line that failed.
    pub fn cut(&self, cutter: &Cutter) -> Result<(), LinkError> {
        cutter.cut(self.message())
    }

    pub(super) fn tell(&self, link: &mut Link) -> Result<(), LinkError> {
        link.tell(self.message())
    }

    pub(super) fn ask(&self, link: &mut Link) -> Result<String, LinkError> {
        link.ask(self.message())
    }

    /// The order on one line, for people.
    pub(super) fn shown(&self) -> String {
        clean(&self.lines().collect::<Vec<_>>().join(" / "))
    }

    pub(super) fn message(&self) -> Message<'_> {
        Message { select: self.select.as_deref(), text: &self.text }
    }

    fn lines(&self) -> impl Iterator<Item = &str> {
        self.select.iter().chain([&self.text]).map(String::as_str)
    }
}
