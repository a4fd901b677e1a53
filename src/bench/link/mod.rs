//! A line to an instrument: whole messages out, whole replies in.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use crate::procedure::{Address, Connection, Terminator};

/// Why there is no reply, or no line.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LinkError {
    /// It could not be opened.
    #[error("cannot be reached at {address}: {why}")]
    NotOpened {
        /// Where.
        address: String,
        /// What the system said.
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
    /// The other end closed the line.
    #[error("closed the connection")]
    Closed,
    /// The line failed.
    #[error("the connection failed: {0}")]
    Failed(String),
}

/// A line to one instrument.
pub struct Link {
    reader: TcpStream,
    cutter: Cutter,
    timeout: Duration,
}

/// The writing end of a line: sends whole messages without waiting for a reply, from any thread.
#[derive(Clone)]
pub struct Cutter {
    writer: Arc<Mutex<TcpStream>>,
    terminator: Terminator,
}

impl Link {
    /// Opens a line.
    ///
    /// # Errors
    /// An address where nothing answers.
    pub fn open(connection: &Connection) -> Result<Self, LinkError> {
        let address = connection.address.value.clone();
        let refused = |why: String| LinkError::NotOpened { address: address.to_string(), why };
        let Address::Tcp { host, port } = &address else {
            return Err(refused("not a socket".to_owned()));
        };
        let reader =
            TcpStream::connect((host.as_str(), *port)).map_err(|e| refused(e.to_string()))?;
        let failed = |error: std::io::Error| LinkError::Failed(error.to_string());
        reader.set_nodelay(true).map_err(failed)?;
        let timeout = connection.timeout.map_or(1.0, |timeout| timeout.to_f64());
        let timeout = Duration::from_secs_f64(timeout);
        reader.set_read_timeout(Some(timeout)).map_err(failed)?;
        let writer = Arc::new(Mutex::new(reader.try_clone().map_err(failed)?));
        Ok(Self { reader, cutter: Cutter { writer, terminator: connection.terminator }, timeout })
    }

    /// The writing end, for the trip.
    #[must_use]
    pub fn cutter(&self) -> Cutter {
        self.cutter.clone()
    }

    /// Sends a message that has no reply.
    ///
    /// # Errors
    /// A line that failed.
    pub fn tell(&mut self, message: &str) -> Result<(), LinkError> {
        self.cutter.cut(message)
    }

    /// Sends a question and brings its whole reply back, without its terminator.
    ///
    /// # Errors
    /// No whole reply in time, or a line that failed. The next question resynchronises the line first.
    pub fn ask(&mut self, message: &str) -> Result<String, LinkError> {
        self.cutter.cut(message)?;
        let mut reply = Vec::new();
        let mut byte = [0];
        loop {
            match self.reader.read(&mut byte) {
                Ok(0) => return Err(LinkError::Closed),
                Ok(_) if byte == *b"\n" => break,
                Ok(_) => reply.extend(byte),
                Err(_) => {
                    let (message, ms) = (message.to_owned(), self.timeout.as_millis());
                    return Err(LinkError::NoReply { message, ms });
                }
            }
        }
        String::from_utf8(reply).map_err(|_| LinkError::Failed("not text".to_owned()))
    }
}

impl Cutter {
    /// Sends one whole message now, whatever else is under way on the line.
    ///
    /// # Errors
    /// A line that failed.
    pub fn cut(&self, message: &str) -> Result<(), LinkError> {
        let mut writer = self.writer.lock().unwrap_or_else(PoisonError::into_inner);
        let line = [message.as_bytes(), self.terminator.bytes()].concat();
        writer.write_all(&line).map_err(|error| LinkError::Failed(error.to_string()))
    }
}
