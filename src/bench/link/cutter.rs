//! The sending end for the trip.

use std::sync::Arc;

use super::line::Wire;
use super::{LinkError, Message};

/// The sending end of a line: sends whole messages from any thread, without waiting for a reply or for one who waits for one.
///
/// It lives as long as its line and longer, and always writes to the connection that the line has at that moment.
#[derive(Clone)]
pub struct Cutter {
    line: Arc<Wire>,
}

impl Cutter {
    pub(super) fn new(line: Arc<Wire>) -> Self {
        Self { line }
    }

    /// Sends one whole message now, whatever else is under way on the line.
    ///
    /// It waits for the pause between messages, for a message that is being written and for a connection that is being made, never for a
    /// reply: half a second each at most. A broken connection is made again once. The line is out of step from then on,
    /// so its next question resynchronises it.
    ///
    /// # Errors
    /// A message with a control character, or a line that failed.
    pub fn cut<'a>(&self, message: impl Into<Message<'a>>) -> Result<(), LinkError> {
        let message = message.into();
        message.check()?;
        self.line.cut(message)
    }
}
