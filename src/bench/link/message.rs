//! What is sent to an instrument at once.

use super::LinkError;

/// A message to an instrument, with what has to go directly before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Message<'a> {
    /// The selection of a channel that is a message of its own; nothing comes between the two.
    pub select: Option<&'a str>,
    /// The message.
    pub text: &'a str,
}

impl<'a> Message<'a> {
    /// A message behind a selection that is a message of its own.
    #[must_use]
    pub fn selected(select: &'a str, text: &'a str) -> Self {
        Self { select: Some(select), text }
    }

    /// Its lines in their order.
    pub(super) fn lines(self) -> impl Iterator<Item = &'a str> {
        self.select.into_iter().chain([self.text])
    }

    /// Refuses what would not arrive as this very message.
    pub(super) fn check(self) -> Result<(), LinkError> {
        let unsendable = |line: &&str| line.is_empty() || line.contains(char::is_control);
        match self.lines().find(unsendable) {
            Some(line) => Err(LinkError::Unsendable(line.escape_debug().to_string())),
            None => Ok(()),
        }
    }
}

impl<'a> From<&'a str> for Message<'a> {
    fn from(text: &'a str) -> Self {
        Self { select: None, text }
    }
}

impl<'a> From<&'a String> for Message<'a> {
    fn from(text: &'a String) -> Self {
        Self { select: None, text }
    }
}
