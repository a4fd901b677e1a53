//! An instrument at the end of its line: orders out, answers read whole.

use super::commands::Commands;
use super::error::DriverError;
use super::order::Order;
use crate::bench::link::{Cutter, Link};
use crate::diagnostic::clean;
use crate::procedure::{Connection, OutputValue};
use crate::quantity::{Dimension, Reading, Unit};

/// An instrument at the end of its line.
pub(super) struct Device {
    link: Link,
    commands: Commands,
}

impl Device {
    /// Opens the line. The outputs of these numbers are switched off by the first messages on it; what each said of its state just
    /// before comes back, where it said something.
    pub(super) fn open(
        connection: &Connection,
        outputs: &[u32],
    ) -> Result<(Self, Vec<Option<String>>), DriverError> {
        let commands = Commands::new(&connection.dialect);
        let state_and_off =
            |number: &u32| (commands.state(*number), commands.switch(false, *number));
        let orders: Vec<_> = outputs.iter().map(state_and_off).collect();
        let messages: Vec<_> =
            orders.iter().map(|(state, off)| (state.message(), off.message())).collect();
        let (link, states) = Link::open_with_off(connection, &messages)?;
        Ok((Self { link, commands }, states))
    }

    pub(super) fn commands(&self) -> &Commands {
        &self.commands
    }

    pub(super) fn cutter(&self) -> Cutter {
        self.link.cutter()
    }

    /// Sends what is no question, blind where the line has to be made again for it, and without patience.
    pub(super) fn insist(&mut self, orders: &[Order]) -> Result<(), DriverError> {
        let messages: Vec<_> = orders.iter().map(Order::message).collect();
        Ok(self.link.insist(&messages)?)
    }

    /// Sends what is no question.
    pub(super) fn tell(&mut self, order: &Order) -> Result<(), DriverError> {
        Ok(order.tell(&mut self.link)?)
    }

    /// Puts a question and brings its answer back as it was sent.
    pub(super) fn ask(&mut self, order: &Order) -> Result<String, DriverError> {
        Ok(order.ask(&mut self.link)?)
    }

    /// Puts a question, and makes sure that what comes back is the answer to it.
    pub(super) fn ask_surely(&mut self, order: &Order) -> Result<String, DriverError> {
        Ok(self.link.ask_surely(order.message())?)
    }

    /// Makes sure that what was answered last was the answer to what was asked last.
    pub(super) fn be_sure(&mut self) -> Result<(), DriverError> {
        Ok(self.link.be_sure()?)
    }

    /// Whether the last reply was the answer to another question than the last.
    pub(super) fn answered_another(&mut self) -> bool {
        self.link.answered_another()
    }

    /// Puts a question whose answer is a voltage or a current.
    pub(super) fn ask_number(
        &mut self,
        order: &Order,
        what: OutputValue,
    ) -> Result<f64, DriverError> {
        let (dimension, expected) = match what {
            OutputValue::Voltage => (Dimension::VOLTAGE, "a voltage"),
            OutputValue::Current => (Dimension::CURRENT, "a current"),
        };
        let reply = self.ask(order)?;
        match Reading::parse(&reply, &Unit::base(dimension)) {
            Ok(Reading::Number(number)) => Ok(number.to_f64()),
            Ok(Reading::OverRange | Reading::NotANumber) | Err(_) => {
                Err(no_answer(order, &reply, expected))
            }
        }
    }

    /// Asks for the oldest error after an order; one that is not "none" is an error here.
    pub(super) fn expect_no_error(&mut self, after: &Order) -> Result<(), DriverError> {
        let Some(question) = self.commands.next_error() else { return Ok(()) };
        let reply = self.ask(&question)?;
        // `0,"No error"` (SCPI-1999, volume 1): a number, a comma, words.
        let code = reply.split(',').next().unwrap_or_default().trim();
        match code.parse::<i64>() {
            Ok(0) => Ok(()),
            Ok(_) => {
                Err(DriverError::Refused { message: after.shown(), reply: clean(reply.trim()) })
            }
            Err(_) => Err(no_answer(&question, &reply, "a numbered error")),
        }
    }
}

/// An answer that is none.
pub(super) fn no_answer(question: &Order, reply: &str, expected: &str) -> DriverError {
    DriverError::Answer {
        question: question.shown(),
        reply: clean(reply.trim()),
        expected: expected.to_owned(),
    }
}
