//! An instrument at the end of its line: messages with the pauses it needs, answers read whole.

use std::thread;
use std::time::{Duration, Instant};

use super::commands::{Commands, Message};
use super::error::DriverError;
use crate::bench::link::{Cutter, Link};
use crate::diagnostic::clean;
use crate::procedure::{Connection, Output};
use crate::quantity::{Dimension, Reading, Unit};

/// An instrument at the end of its line.
pub(super) struct Device {
    link: Link,
    commands: Commands,
    pause: Duration,
    spoken: Option<Instant>,
}

impl Device {
    pub(super) fn open(connection: &Connection) -> Result<Self, DriverError> {
        let pause = connection.pause.map_or(0.0, |pause| pause.to_f64());
        let pause = Duration::try_from_secs_f64(pause).unwrap_or_default();
        let commands = Commands::new(&connection.dialect);
        Ok(Self { link: Link::open(connection)?, commands, pause, spoken: None })
    }

    pub(super) fn commands(&self) -> &Commands {
        &self.commands
    }

    pub(super) fn cutter(&self) -> Cutter {
        self.link.cutter()
    }

    /// Sends a message that is no question.
    pub(super) fn tell(&mut self, message: &Message) -> Result<(), DriverError> {
        message.iter().try_for_each(|line| self.tell_line(line))
    }

    /// Puts a question and brings its answer back as it was sent.
    pub(super) fn ask(&mut self, message: &Message) -> Result<String, DriverError> {
        let Some((question, before)) = message.split_last() else { return Ok(String::new()) };
        before.iter().try_for_each(|line| self.tell_line(line))?;
        self.take_turn(question)?;
        let reply = self.link.ask(question);
        self.spoken = Some(Instant::now());
        Ok(reply?)
    }

    /// Puts a question whose answer is a voltage or a current.
    pub(super) fn ask_number(
        &mut self,
        message: &Message,
        what: Output,
    ) -> Result<f64, DriverError> {
        let (dimension, expected) = match what {
            Output::Voltage => (Dimension::VOLTAGE, "a voltage"),
            Output::Current => (Dimension::CURRENT, "a current"),
        };
        let reply = self.ask(message)?;
        match Reading::parse(&reply, &Unit::base(dimension)) {
            Ok(Reading::Number(number)) => Ok(number.to_f64()),
            Ok(Reading::OverRange | Reading::NotANumber) | Err(_) => {
                Err(answer(message, &reply, expected))
            }
        }
    }

    /// Asks for the oldest error after a message; one that is not "none" is an error here.
    pub(super) fn expect_no_error(&mut self, after: &Message) -> Result<(), DriverError> {
        let Some(question) = self.commands.next_error() else { return Ok(()) };
        let reply = self.ask(&vec![question.clone()])?;
        // `0,"No error"` (SCPI-1999, volume 1): a number, a comma, words.
        let code = reply.split(',').next().unwrap_or_default().trim();
        match code.parse::<i64>() {
            Ok(0) => Ok(()),
            Ok(_) => {
                Err(DriverError::Refused { message: shown(after), reply: clean(reply.trim()) })
            }
            Err(_) => Err(answer(&vec![question], &reply, "a numbered error")),
        }
    }

    fn tell_line(&mut self, line: &str) -> Result<(), DriverError> {
        self.take_turn(line)?;
        let expected = self.commands.acknowledgement().map(str::to_owned);
        let Some(expected) = expected else {
            self.link.tell(line)?;
            self.spoken = Some(Instant::now());
            return Ok(());
        };
        let reply = self.link.ask(line);
        self.spoken = Some(Instant::now());
        let reply = reply?;
        if reply.trim() == expected {
            return Ok(());
        }
        Err(answer(&vec![line.to_owned()], &reply, &format!("`{}`", clean(&expected))))
    }

    /// Refuses what would not arrive as one line, and waits until the instrument can hear again.
    fn take_turn(&mut self, line: &str) -> Result<(), DriverError> {
        if line.chars().any(char::is_control) {
            return Err(DriverError::Unsendable { message: clean(line) });
        }
        if let Some(spoken) = self.spoken {
            thread::sleep(self.pause.saturating_sub(spoken.elapsed()));
        }
        Ok(())
    }
}

/// A message on one line, for people.
pub(super) fn shown(message: &Message) -> String {
    clean(&message.join(" / "))
}

/// An answer that is none.
pub(super) fn answer(question: &Message, reply: &str, expected: &str) -> DriverError {
    DriverError::Answer {
        question: shown(question),
        reply: clean(reply.trim()),
        expected: expected.to_owned(),
    }
}
