//! In step or not: whether the next reply will be the answer to the next question.

use std::thread::sleep;
use std::time::{Duration, Instant};

use super::transport::Waiting;
use super::{JUST_NOW, Link, LinkError, MOMENT, Message};

/// How often it is tried, and how long is waited in between: an instrument with room for one client needs a moment to notice that
/// the old connection is gone.
const TRIES: u32 = 3;
const BETWEEN_TRIES: Duration = Duration::from_millis(50);

impl Link {
    /// Asks the instrument who it is until two answers in a row agree: one may be left from before.
    pub(super) fn get_to_know(&mut self) -> Result<(), LinkError> {
        let mut known = self.ask_who();
        let mut tries = TRIES;
        loop {
            let again = self.ask_who();
            match again {
                Ok(identity) if known.as_ref() == Ok(&identity) => {
                    self.identity = identity;
                    return Ok(());
                }
                again if tries == 0 => return again.and(known).map(drop),
                again => known = again,
            }
            tries -= 1;
            sleep(BETWEEN_TRIES);
            self.line.transport.reset()?;
        }
    }

    /// Asks for a state and sends off, as the first messages on a line of which nothing is known yet. Off goes after a moment whatever
    /// comes of the question.
    pub(super) fn off_first(&mut self, state: Message<'_>, off: Message<'_>) -> Option<String> {
        // What lies there is none of its answer.
        let _ = self.is_silent();
        self.incoming.forget();
        let asked = self.line.send(state, self.cuts).is_ok();
        let told = self.state_told(state, self.timeout.min(MOMENT)).filter(|_| asked);
        let sent = self.line.send(off, self.cuts).is_ok();
        // A slow one may still be about to answer.
        let told = match told {
            None if asked && sent => self.state_told(state, self.timeout),
            told => told,
        };
        if sent && self.acknowledgement.is_some() {
            let _ = self.reply(off.text, Instant::now() + MOMENT);
        }
        told
    }

    /// The first reply that is neither an echo nor an acknowledgement.
    fn state_told(&mut self, state: Message<'_>, within: Duration) -> Option<String> {
        let by = Instant::now() + within;
        loop {
            let reply = self.reply(state.text, by).ok()?;
            let is_echo = reply == state.text || state.select == Some(reply.as_str());
            if !is_echo && self.acknowledgement.as_ref() != Some(&reply) {
                return Some(reply);
            }
        }
    }

    /// Asks who the instrument is while that is not known yet, and learns whether the line echoes.
    fn ask_who(&mut self) -> Result<String, LinkError> {
        self.incoming.forget();
        self.line.send(self.identify.as_str().into(), self.cuts)?;
        let by = Instant::now() + self.timeout;
        let question = self.identify.clone();
        let reply = self.reply(&question, by)?;
        self.echoes = reply == question;
        if self.echoes { self.reply(&question, by) } else { Ok(reply) }
    }

    /// Sees to it that the next reply will be the answer to the next question.
    pub(super) fn be_in_step(&mut self) -> Result<(), LinkError> {
        if self.is_in_step() {
            return Ok(());
        }
        self.is_doubtful |= self.is_trusted && self.line.cuts() == self.cuts;
        self.is_trusted = false;
        let mut tries = TRIES;
        while let Err(error) = self.resynchronise(&[]) {
            tries -= 1;
            if tries == 0 {
                return Err(LinkError::OutOfStep(Box::new(error)));
            }
            sleep(BETWEEN_TRIES);
        }
        self.is_trusted = true;
        Ok(())
    }

    /// Sends messages as the first thing on a line that is made again, before anything is asked on it, and brings the line back in
    /// step within the time of one reply.
    pub(super) fn begin_again(
        &mut self,
        with: &[Message<'_>],
        by: Instant,
    ) -> Result<(), LinkError> {
        self.is_trusted = false;
        while let Err(error) = self.resynchronise(with) {
            if Instant::now() + BETWEEN_TRIES >= by {
                return Err(LinkError::OutOfStep(Box::new(error)));
            }
            sleep(BETWEEN_TRIES);
        }
        self.is_trusted = true;
        Ok(())
    }

    /// Tells whether all that went over the line is accounted for.
    pub(super) fn is_in_step(&mut self) -> bool {
        self.is_trusted && self.line.cuts() == self.cuts && self.is_silent()
    }

    /// Tells whether nothing came that nobody asked for.
    fn is_silent(&mut self) -> bool {
        loop {
            if !self.incoming.is_empty() {
                return false;
            }
            if self.emptied.is_some_and(|at| at.elapsed() < JUST_NOW) {
                return true;
            }
            match self.line.transport.waiting() {
                Ok(Waiting::Nothing) => return true,
                // It may be the second half of the end of the reply before: that leaves nothing behind.
                Ok(Waiting::Bytes) if self.receive("", Duration::ZERO).is_ok() => {}
                _ => return false,
            }
        }
    }

    /// Throws away what is under way, and asks who the instrument is: it answers in order, so once exactly its identity has come,
    /// nothing older is left. An identity that comes twice is told by its text when it does. What is sent before the question is
    /// sent blind: its acknowledgements are thrown away with the rest.
    fn resynchronise(&mut self, before: &[Message<'_>]) -> Result<(), LinkError> {
        self.cuts = self.line.cuts();
        self.emptied = None;
        self.line.transport.reset()?;
        self.incoming.forget();
        for message in before {
            self.line.send(*message, self.cuts)?;
        }
        self.line.send(self.identify.as_str().into(), self.cuts)?;
        let by = Instant::now() + self.timeout;
        let message = self.identify.clone();
        let mut other = None;
        loop {
            match self.reply(&message, by) {
                Ok(reply) if reply == self.identity => return Ok(()),
                Ok(reply) => other = Some(reply),
                Err(error) => {
                    let due = self.identity.clone();
                    let refused = |reply| LinkError::Refused { message, reply, due };
                    return Err(other.map_or(error, refused));
                }
            }
        }
    }
}
