//! The instruments of a bench file, driven by their dialects.
//!
//! May use what `bench` may. Always true: a setting counts when it was read back, an output is off when it says so and its
//! voltage or current is gone, and an answer that is not understood whole is an error that quotes it.

mod commands;
mod device;
mod dial;
mod error;
#[cfg(test)]
pub(crate) mod fake;
mod feed;
mod identity;
mod mains_switch;
mod meter;
mod order;
mod proof;
mod reach;
mod station;
mod supply;
mod switch;
#[cfg(test)]
mod tests;
mod watchdog;
mod watching;

use std::fmt;

pub use error::DriverError;
pub use order::Order;
pub use proof::{Fall, LimitingProof, RoundTrip, SettingProof};
pub use reach::Reach;
pub use supply::Off;

use dial::Dial;
use feed::Feed;
use meter::Probe;
use station::{Shared, Station};

use super::link::Cutter;
use super::{Bench, Go, Guard, Limits, Live, Lost, OutputsOff, Sent, Watched, Work};
use crate::procedure::{BenchFile, Point};

/// The connected instruments of a bench. When they are dropped, off is sent to every output.
pub struct Instruments {
    bench: BenchFile,
    stations: Vec<Station>,
    /// Bench seconds in a real second.
    speed: f64,
}

/// An output that was on when the program took over: what it feeds is in an unknown state.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// The instrument.
    pub instrument: String,
    /// Its output.
    pub output: String,
}

impl fmt::Display for Found {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { instrument, output } = self;
        write!(f, "{instrument}: output {output} was on, and was switched off")
    }
}

/// An instrument that could not be taken over.
#[derive(Clone, Debug, PartialEq)]
pub struct Failure {
    /// Which.
    pub instrument: String,
    /// Why.
    pub error: DriverError,
}

/// What came of taking the instruments of a bench over, each by itself.
pub struct TakenOver {
    /// Those that are as they should be.
    pub instruments: Instruments,
    /// Outputs that were on.
    pub found: Vec<Found>,
    /// Those that could not be taken over.
    pub failures: Vec<Failure>,
}

impl Instruments {
    /// Takes over every connected instrument of a bench: opens its line, checks who it is, switches its outputs off,
    /// makes sure of it, and arms its watchdog.
    ///
    /// # Errors
    /// The first instrument that can't be reached or is not as the file says; all others are switched off by then.
    pub fn connect(bench: &BenchFile, reach: &Reach) -> Result<(Self, Vec<Found>), Lost> {
        let TakenOver { instruments, found, failures } = Self::take_over(bench, reach);
        match failures.first() {
            None => Ok((instruments, found)),
            Some(failure) => Err(failure.error.lost(&failure.instrument)),
        }
    }

    /// Takes over each connected instrument of a bench, whatever is wrong with the others.
    #[must_use]
    pub fn take_over(bench: &BenchFile, reach: &Reach) -> TakenOver {
        let instruments = Self { bench: bench.clone(), stations: Vec::new(), speed: 1.0 };
        let mut all = TakenOver { instruments, found: Vec::new(), failures: Vec::new() };
        for (name, instrument) in bench.instruments.iter() {
            let Some(opened) = Station::open(name, instrument, reach) else { continue };
            let taken = opened.and_then(|mut station| {
                let found = station.take_over()?;
                station.arm_watchdog(instrument)?;
                Ok((station, found))
            });
            match taken {
                Ok((station, found)) => {
                    all.found.extend(found);
                    all.instruments.stations.push(station);
                }
                Err(error) => {
                    all.failures.push(Failure { instrument: name.value.clone(), error });
                }
            }
        }
        all
    }

    /// Lets the bench's clock run faster than a real one, for a rehearsal.
    #[must_use]
    pub fn at_speed(mut self, speed: f64) -> Self {
        self.speed = speed;
        self
    }

    /// Tells whether no instrument is connected.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.stations.is_empty()
    }

    /// For the trip: of each instrument with outputs its name, the writing end of its line, and the orders that switch
    /// all its outputs off.
    #[must_use]
    pub fn cutters(&self) -> Vec<(String, Cutter, Vec<Order>)> {
        let cutters = self.stations.iter().filter_map(|station| {
            let (cutter, off) = station.cutter()?;
            Some((station.name.clone(), cutter, off))
        });
        cutters.collect()
    }

    /// Switches every output off and tells of each how that was confirmed.
    ///
    /// # Errors
    /// The first instrument that can't be reached or does not confirm it; off was sent to all others by then.
    pub fn switch_off(&mut self) -> Result<Vec<(String, Off)>, Lost> {
        let lost = |station: &Station, error: DriverError| error.lost(&station.name);
        let sent: Vec<_> = self.stations.iter().map(|own| (own, own.send_off())).collect();
        let confirmed: Vec<_> = sent
            .into_iter()
            .map(|(own, sent)| sent.and_then(|()| own.confirm_off()).map_err(|e| lost(own, e)))
            .collect();
        Ok(confirmed.into_iter().collect::<Result<Vec<_>, _>>()?.into_iter().flatten().collect())
    }

    /// The probe that reads a point.
    pub(in crate::bench) fn probe(&self, point: &Point) -> Result<Probe, Lost> {
        let name = self.bench.connected(point).map(|(name, _)| name);
        let station = self.stations.iter().find(|station| Some(station.name.as_str()) == name);
        let station = station.ok_or_else(|| nothing_connected(&point.to_string()))?;
        Probe::at(station, point).map_err(|error| error.lost(&station.name))
    }

    /// The dial of an output's voltage.
    pub(in crate::bench) fn dial(&self, channel: &str) -> Result<Dial, Lost> {
        let found = self.stations.iter().find_map(|station| {
            station.feeds.iter().find_map(|feed| match feed {
                Feed::Supply(supply) if supply.switch.name == channel => Some((station, supply)),
                Feed::Supply(_) | Feed::Mains(_) => None,
            })
        });
        let (station, supply) = found.ok_or_else(|| nothing_connected(channel))?;
        let (instrument, device) = (station.name.clone(), station.device.clone());
        Ok(Dial { instrument, device, supply: supply.clone() })
    }

    /// An output by its name, with its instrument.
    fn find(&mut self, channel: &str) -> Result<(&str, &Shared, &mut Feed), Lost> {
        let found = self.stations.iter_mut().find_map(|station| {
            let feed = station.feeds.iter_mut().find(|feed| feed.switch().name == channel)?;
            Some((station.name.as_str(), &station.device, feed))
        });
        found.ok_or_else(|| nothing_connected(channel))
    }

    /// Prepares all outputs, then switches them on one after the other.
    fn bring_up(&mut self, limits: &Limits) -> Result<(), Lost> {
        for channel in &limits.channels {
            let (name, device, feed) = self.find(channel)?;
            let prepared = feed.prepare(&mut device.lock(), limits);
            prepared.map_err(|error| error.lost(name))?;
        }
        for channel in &limits.channels {
            let (name, device, feed) = self.find(channel)?;
            let on = feed.switch().switch_on(&mut device.lock());
            on.map_err(|error| error.lost(name))?;
        }
        Ok(())
    }
}

fn nothing_connected(point: &str) -> Lost {
    Lost { instrument: point.to_owned(), why: "no instrument is connected for it".to_owned() }
}

impl Bench for Instruments {
    fn outputs_off(&mut self) -> Result<OutputsOff, Lost> {
        let confirmed = self.switch_off()?;
        Ok(if confirmed.is_empty() { OutputsOff::OutOfReach } else { OutputsOff::Confirmed })
    }

    fn energise(&mut self, limits: &Limits) -> Result<(), Lost> {
        let Err(mut lost) = self.bring_up(limits) else { return Ok(()) };
        if let Err(still) = self.switch_off() {
            lost.why = format!("{}; and then: {still}", lost.why);
        }
        Err(lost)
    }

    fn measure(&mut self, point: &Point) -> Result<Sent, Lost> {
        self.probe(point)?.take()
    }

    fn watch(
        &mut self,
        work: &Work,
        guards: &[Guard],
        look: &mut dyn FnMut(&Live) -> Go,
    ) -> Watched {
        watching::watch(self, work, guards, look)
    }
}

impl Drop for Instruments {
    fn drop(&mut self) {
        for (_, cutter, off) in self.cutters() {
            for order in off {
                // On the way out there is nobody left to tell.
                let _ = order.cut(&cutter);
            }
        }
    }
}
