//! Why there is no reply, or no line.

use std::io;

/// Why there is no reply, or no line. After each of them the line is resynchronised before its next use.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LinkError {
    /// It could not be opened.
    #[error("cannot be reached at {address}: {why}")]
    NotOpened {
        /// Where.
        address: String,
        /// What is in the way.
        why: String,
    },
    /// Nothing came in time.
    #[error("no reply to `{message}` within {ms} ms")]
    NoReply {
        /// What was asked.
        message: String,
        /// How long was waited.
        ms: u128,
    },
    /// A reply began and did not end in time.
    #[error(
        "the reply to `{message}` did not end within {ms} ms; if this instrument ends its replies with nothing, write `terminator: none`"
    )]
    Unfinished {
        /// What was asked.
        message: String,
        /// How long was waited.
        ms: u128,
    },
    /// The reply is longer than any reading or state.
    #[error("the reply to `{message}` is longer than {max} bytes")]
    TooLong {
        /// What was asked.
        message: String,
        /// How long a reply may be.
        max: usize,
    },
    /// The reply holds bytes that are no text.
    #[error("the reply to `{message}` is not text: the line is disturbed, or set to another speed")]
    NotText {
        /// What was asked.
        message: String,
    },
    /// There is no telling which reply is the answer.
    #[error("more than one reply came to `{message}`, so none of them counts")]
    Several {
        /// What was asked.
        message: String,
    },
    /// The instrument answered an earlier question.
    #[error("the reply to `{message}` belongs to an earlier question")]
    Late {
        /// What was asked.
        message: String,
    },
    /// The instrument did not acknowledge, or the line did not echo, what it was sent.
    #[error("answered `{reply}` to `{message}` where `{due}` was due")]
    Refused {
        /// What it was sent.
        message: String,
        /// What came.
        reply: String,
        /// What should have come.
        due: String,
    },
    /// The trip wrote on the line while a reply was due.
    #[error("outputs were switched off while `{message}` was under way")]
    CutInto {
        /// What was asked.
        message: String,
    },
    /// The line could not be brought back in step with the instrument.
    #[error("cannot be brought back in step: {0}")]
    OutOfStep(Box<LinkError>),
    /// A message that would not arrive as one message.
    #[error("`{0}` is empty or holds a control character and was not sent")]
    Unsendable(String),
    /// The other end closed the line, or it was pulled out.
    #[error("closed the connection")]
    Closed,
    /// The line failed.
    #[error("the connection failed: {0}")]
    Failed(String),
}

/// EIO: a serial line that hung up. ENODEV: a device that was pulled out (errno(3)).
const GONE: [i32; 2] = [5, 19];

impl From<io::Error> for LinkError {
    fn from(error: io::Error) -> Self {
        use io::ErrorKind::{
            BrokenPipe, ConnectionAborted, ConnectionReset, NotConnected, UnexpectedEof,
        };
        let is_gone = error.raw_os_error().is_some_and(|code| GONE.contains(&code));
        match error.kind() {
            BrokenPipe | ConnectionAborted | ConnectionReset | NotConnected | UnexpectedEof => {
                Self::Closed
            }
            _ if is_gone => Self::Closed,
            _ => Self::Failed(error.to_string()),
        }
    }
}
