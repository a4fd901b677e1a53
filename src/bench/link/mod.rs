//! A line to an instrument: whole messages out, whole replies in.
//!
//! May use: `procedure` (the connection of the bench file), `quantity`.
//!
//! Always true: a reply counts only if it came whole, in time, alone, and while the line was in step with the instrument.
//! After anything else the line is resynchronised before its next use, and if that fails there is an error, never a value.
//! The one that cuts in waits for nobody who waits for a reply.

mod cutter;
mod error;
mod hold;
mod incoming;
mod line;
mod message;
mod opening;
mod serial;
mod step;
mod tcp;
mod transport;
mod usbtmc;
mod usbtmc_control;

use std::io::ErrorKind;
use std::sync::Arc;
use std::time::{Duration, Instant};

pub use cutter::Cutter;
pub use error::LinkError;
pub use message::Message;

use crate::procedure::{Connection, Terminator};
use incoming::{Incoming, REPLY_MAX};
use line::Wire;

/// The question that asks an instrument who it is, unless its dialect has another (IEEE 488.2).
const IDENTIFY: &str = "*IDN?";

/// What ends a reply of an instrument that ends it with nothing. Longer than TCP holds a piece back for an acknowledgement
/// (40 ms on Linux, 200 ms at most elsewhere; from memory).
const SILENCE: Duration = Duration::from_millis(100);

/// How long is waited for what may or may not come.
const MOMENT: Duration = Duration::from_millis(100);

/// How long nothing new is looked for after everything was taken. What comes within so short a time after a question is sent can't be
/// told from its answer either, and a look costs the system as much as a tenth of the whole exchange.
const JUST_NOW: Duration = Duration::from_micros(5);

/// A line to one instrument.
pub struct Link {
    line: Arc<Wire>,
    incoming: Incoming,
    timeout: Duration,
    /// What it answers to each command that is no question, if it does.
    acknowledgement: Option<String>,
    /// Whether its replies may end with nothing.
    ends_in_silence: bool,
    /// Whether the line gives back what is sent.
    echoes: bool,
    /// The question that asks who it is.
    identify: String,
    /// What it answered to it at the start.
    identity: String,
    /// Whether all that went over the line is accounted for.
    is_trusted: bool,
    /// Whether something came that nobody had asked for since it was last made sure.
    is_doubtful: bool,
    /// How often the line had been cut into when it was last resynchronised.
    cuts: u64,
    /// When everything that had come was taken.
    emptied: Option<Instant>,
}

impl Link {
    /// Opens a line and asks the instrument who it is, until two answers agree.
    ///
    /// Opening a serial line raises DTR and RTS: a relay that is keyed from them switches on.
    ///
    /// # Errors
    /// An address where nothing answers, or not twice the same.
    pub fn open(connection: &Connection) -> Result<Self, LinkError> {
        Self::open_with_off(connection, &[]).map(|(link, _)| link)
    }

    /// Opens a line with messages that switch outputs off as the first that go over it, no matter what the instrument is and what it
    /// answers. Directly before each goes the question for the state of its output, which gets a moment to be answered; the
    /// answers come back where there were any.
    ///
    /// # Errors
    /// As for [`Link::open`]. The messages may have arrived all the same.
    pub fn open_with_off(
        connection: &Connection,
        outputs: &[(Message<'_>, Message<'_>)],
    ) -> Result<(Self, Vec<Option<String>>), LinkError> {
        let dialect = &connection.dialect;
        let identify = dialect.identify.as_ref().map_or(IDENTIFY, |identify| identify.as_str());
        let line = Arc::new(opening::open(connection)?);
        let mut link = Self {
            line,
            incoming: Incoming::new(),
            timeout: opening::timeout(connection),
            acknowledgement: dialect.acknowledges.as_ref().map(|word| word.value.clone()),
            ends_in_silence: connection.terminator == Terminator::None,
            echoes: false,
            identify: identify.to_owned(),
            identity: String::new(),
            is_trusted: true,
            is_doubtful: false,
            cuts: 0,
            emptied: None,
        };
        for (state, off) in outputs {
            state.check().and(off.check())?;
        }
        let states = outputs.iter().map(|(state, off)| link.off_first(*state, *off)).collect();
        link.get_to_know().map_err(|error| opening::not_opened(connection, error.to_string()))?;
        Ok((link, states))
    }

    /// What the instrument answered when it was asked who it is, exactly as sent.
    #[must_use]
    pub fn identity(&self) -> &str {
        &self.identity
    }

    /// The sending end, for the trip.
    #[must_use]
    pub fn cutter(&self) -> Cutter {
        Cutter::new(Arc::clone(&self.line))
    }

    /// Sends a message that has no reply but the acknowledgement of the dialect, if there is one.
    ///
    /// A line that is out of step is resynchronised before. To switch something off whatever happens, use a `Cutter`.
    ///
    /// # Errors
    /// A line that failed or cannot be resynchronised, or an answer other than the acknowledgement.
    pub fn tell<'a>(&mut self, message: impl Into<Message<'a>>) -> Result<(), LinkError> {
        self.exchange(message.into(), |link, text, by| link.acknowledged(text, by))
    }

    /// Sends a question and brings its whole reply back, without its terminator.
    ///
    /// A line that is out of step is resynchronised before.
    ///
    /// # Errors
    /// No whole reply in time, a line that failed or cannot be resynchronised, or one that was cut into meanwhile.
    pub fn ask<'a>(&mut self, message: impl Into<Message<'a>>) -> Result<String, LinkError> {
        self.exchange(message.into(), |link, text, by| {
            let reply = link.reply(text, by)?;
            // Where it can be told that a reply is late, it is: an identity that nobody asked for.
            let is_late = reply == link.identity && text != link.identify;
            if is_late { Err(LinkError::Late { message: text.to_owned() }) } else { Ok(reply) }
        })
    }

    /// Puts a question as [`Link::ask`] does, and makes sure that the reply is the answer to it: a reply that came late or twice looks
    /// like any other.
    ///
    /// # Errors
    /// As for [`Link::ask`] and [`Link::be_sure`].
    pub fn ask_surely<'a>(&mut self, message: impl Into<Message<'a>>) -> Result<String, LinkError> {
        let message = message.into();
        let reply = self.ask(message)?;
        // What came before that is thrown away.
        self.is_doubtful = false;
        self.be_sure().map_err(|error| match error {
            LinkError::Late { .. } => LinkError::Late { message: message.text.to_owned() },
            other => other,
        })?;
        Ok(reply)
    }

    /// Makes sure that the last reply was the answer to the last question: the next question is who the instrument is, whose answer
    /// is known. It answers in order, so a reply too many makes that another.
    ///
    /// # Errors
    /// A line that failed, or a reply other than the identity: what was answered before it may belong to other questions.
    pub fn be_sure(&mut self) -> Result<(), LinkError> {
        let question = self.identify.clone();
        self.line.wait_for_turn();
        let is_doubtful = std::mem::take(&mut self.is_doubtful);
        if !is_doubtful && !self.is_trusted {
            // What put it out of step was told before.
            self.be_in_step()?;
        }
        let is_cut = self.line.cuts() != self.cuts;
        // Without being put in step before: that would throw away what gives a late reply away.
        let answer = if is_cut || (!is_doubtful && self.is_in_step()) {
            self.converse(question.as_str().into(), |link, text, by| link.reply(text, by))
        } else {
            Err(LinkError::Late { message: question.clone() })
        };
        self.is_trusted = answer.as_ref() == Ok(&self.identity);
        match answer {
            Ok(_) if self.is_trusted => Ok(()),
            Ok(_) | Err(LinkError::Several { .. }) => Err(LinkError::Late { message: question }),
            Err(error) => Err(error),
        }
    }

    /// Whether the last reply was the answer to another question than the last, on a line that may have been cut into since: the next
    /// question is who the instrument is, and something else comes. One that says nothing tells nothing; nor does an instrument or a
    /// line that answers what is no question.
    pub fn answered_another(&mut self) -> bool {
        if self.acknowledgement.is_some() || self.echoes {
            return false;
        }
        let question = self.identify.clone();
        self.cuts = self.line.cuts();
        let answer = self.converse(question.as_str().into(), |link, text, by| link.reply(text, by));
        self.is_trusted = answer.as_ref() == Ok(&self.identity);
        match answer {
            Ok(_) => !self.is_trusted,
            Err(error) => matches!(error, LinkError::Several { .. }),
        }
    }

    /// Sends messages that have no reply, whatever the line is like: one that is out of step is made again, and they go first on it,
    /// blind. It takes no longer than two replies may.
    ///
    /// # Errors
    /// A line that failed or is not in step again by then. The messages may have arrived all the same.
    pub fn insist(&mut self, messages: &[Message<'_>]) -> Result<(), LinkError> {
        messages.iter().try_for_each(|message| message.check())?;
        let by = Instant::now() + self.timeout;
        if self.is_in_step() && messages.iter().all(|message| self.tell(*message).is_ok()) {
            return Ok(());
        }
        self.begin_again(messages, by)
    }

    fn exchange<T>(
        &mut self,
        message: Message<'_>,
        take: impl FnOnce(&mut Self, &str, Instant) -> Result<T, LinkError>,
    ) -> Result<T, LinkError> {
        message.check()?;
        // Whatever comes while it is too soon for the next message is seen before it is sent.
        self.line.wait_for_turn();
        self.be_in_step()?;
        let result = self.converse(message, take);
        // After any error nobody knows what is still under way.
        self.is_trusted = result.is_ok();
        result
    }

    fn converse<T>(
        &mut self,
        message: Message<'_>,
        take: impl FnOnce(&mut Self, &str, Instant) -> Result<T, LinkError>,
    ) -> Result<T, LinkError> {
        self.line.send(message, self.cuts)?;
        let by = Instant::now() + self.timeout;
        if let Some(select) = message.select {
            self.echo(select, by)?;
            self.acknowledged(select, by)?;
        }
        self.echo(message.text, by)?;
        let taken = take(self, message.text, by)?;
        let message = || message.text.to_owned();
        if self.line.cuts() != self.cuts {
            return Err(LinkError::CutInto { message: message() });
        }
        if !self.incoming.is_empty() {
            return Err(LinkError::Several { message: message() });
        }
        Ok(taken)
    }

    fn echo(&mut self, text: &str, by: Instant) -> Result<(), LinkError> {
        if self.echoes { self.expect(text, text, by) } else { Ok(()) }
    }

    fn acknowledged(&mut self, text: &str, by: Instant) -> Result<(), LinkError> {
        match self.acknowledgement.clone() {
            Some(due) => self.expect(text, &due, by),
            None => Ok(()),
        }
    }

    fn expect(&mut self, text: &str, due: &str, by: Instant) -> Result<(), LinkError> {
        let reply = self.reply(text, by)?;
        if reply == due {
            return Ok(());
        }
        let (message, due) = (text.to_owned(), due.to_owned());
        Err(LinkError::Refused { message, reply, due })
    }

    /// Takes the next whole reply. The time is for the whole of it, however many pieces it comes in.
    fn reply(&mut self, message: &str, by: Instant) -> Result<String, LinkError> {
        let bytes = loop {
            if let Some(line) = self.incoming.take_line() {
                break line;
            }
            let rest = by.saturating_duration_since(Instant::now());
            let may_be_whole = self.ends_in_silence && !self.incoming.is_empty() && rest > SILENCE;
            let within = if may_be_whole { SILENCE } else { rest };
            let came = !rest.is_zero() && self.receive(message, within)?;
            match came {
                true => {}
                false if may_be_whole => break self.incoming.take_all(),
                false => return Err(self.overdue(message)),
            }
        };
        let text = String::from_utf8(bytes).ok();
        // No reply holds a control character but a tab: it is what a disturbance leaves of a byte.
        let text = text.filter(|text| !text.contains(|c: char| c.is_control() && c != '\t'));
        text.ok_or_else(|| LinkError::NotText { message: message.to_owned() })
    }

    /// Takes what comes next; false when nothing came.
    fn receive(&mut self, message: &str, within: Duration) -> Result<bool, LinkError> {
        let room = self.incoming.room();
        let most = room.len();
        if room.is_empty() {
            return Err(LinkError::TooLong { message: message.to_owned(), max: REPLY_MAX });
        }
        match self.line.transport.receive(room, within) {
            Ok(0) => Err(LinkError::Closed),
            Ok(count) => {
                self.emptied = (count < most).then(Instant::now);
                self.incoming.grow(count);
                Ok(true)
            }
            Err(error) if error.kind() == ErrorKind::Interrupted => Ok(true),
            Err(error) if error.kind() == ErrorKind::TimedOut => Ok(false),
            Err(error) => Err(error.into()),
        }
    }

    fn overdue(&self, message: &str) -> LinkError {
        let (message, ms) = (message.to_owned(), self.timeout.as_millis());
        if self.incoming.is_empty() {
            LinkError::NoReply { message, ms }
        } else {
            LinkError::Unfinished { message, ms }
        }
    }
}
