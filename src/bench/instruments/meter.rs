//! Readings: of a meter's functions and of a supply's own meters.

use super::error::DriverError;
use super::feed::Feed;
use super::order::Order;
use super::shared::Shared;
use super::station::Station;
use crate::bench::{Lost, Sent};
use crate::procedure::Point;

/// A point of one instrument, with the question that reads it. It can be taken along to another thread.
#[derive(Clone)]
pub(in crate::bench) struct Probe {
    instrument: String,
    device: Shared,
    question: Order,
}

impl Probe {
    /// The probe of a point at its instrument.
    pub(super) fn at(station: &Station, point: &Point) -> Result<Self, DriverError> {
        let question = question(station, point)?;
        let (instrument, device) = (station.name.clone(), station.device.clone());
        Ok(Self { instrument, device, question })
    }

    /// Takes one reading, exactly as it was sent. Something is decided by it, so it has to be the answer to this very question.
    pub(in crate::bench) fn take(&self) -> Result<Sent, Lost> {
        let reply = self.device.lock().ask_surely(&self.question);
        let text = reply.map_err(|error| error.lost(&self.instrument))?;
        Ok(Sent { text, instrument: self.instrument.clone() })
    }
}

/// The question that reads a point at its instrument.
pub(super) fn question(station: &Station, point: &Point) -> Result<Order, DriverError> {
    let device = station.device.lock();
    let commands = device.commands();
    let question = match point {
        Point::Function(function) => commands.function(function),
        Point::Output { channel, what } => {
            let supply = station.feeds.iter().find_map(|feed| match feed {
                Feed::Supply(supply) if supply.switch.name == *channel => Some(supply),
                Feed::Supply(_) | Feed::Mains(_) => None,
            });
            supply.map(|supply| commands.measure(*what, supply.switch.number))
        }
    };
    question.ok_or_else(|| DriverError::NoQuestion { function: point.to_string() })
}
