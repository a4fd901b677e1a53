//! The instruments of a bench file, driven by their dialects.
//!
//! May use what `bench` may. Always true: a setting counts when it was read back, an output is off when it says so and its
//! voltage or current is gone, and an answer that is not understood whole is an error that quotes it.

mod commands;
mod device;
mod error;
#[cfg(test)]
pub(crate) mod fake;
mod fall;
mod feed;
mod found;
mod identity;
mod mains_switch;
mod meter;
mod order;
mod outputs;
mod proof;
mod reach;
mod sampler;
mod shared;
mod station;
mod supply;
mod switch;
mod taking_over;
#[cfg(test)]
mod tests;
mod trust;
mod watchdog;

pub use error::DriverError;
pub use found::OutputFoundOn;
pub use order::Order;
pub use proof::{LimitingProof, OutputFall, RoundTrip, SettingProof};
pub use reach::SimulatedAddresses;
pub use taking_over::{Failure, Refused, TakenOver};

use feed::Feed;
use meter::Probe;
use outputs::Pursuit;
use sampler::StationSampler;
use shared::Shared;
use station::Station;

use super::watch::{self, Sampler, Sampling};
use super::{
    Bench, BenchClock, Go, Guard, Limits, Live, Lost, OffNews, OutputsOff, Sent, TripHandle,
    Unconfirmed, Watched, Work,
};
use crate::procedure::{BenchFile, Point};
use crate::record::Source;

/// The connected instruments of a bench. When they are dropped, off is sent to every output.
pub struct Instruments {
    bench: BenchFile,
    stations: Vec<Station>,
    trip: TripHandle,
    clock: BenchClock,
    /// The instruments that have not confirmed off, each told again and again.
    pursuits: Vec<Pursuit>,
}

impl Instruments {
    /// Takes over every connected instrument of a bench: opens its line, checks who it is, switches its outputs off,
    /// makes sure of it, and arms its watchdog.
    ///
    /// # Errors
    /// The first instrument that can't be reached or is not as the file says, or that calls itself simulated where a real one
    /// is due; all others are switched off by then.
    pub fn connect(
        bench: &BenchFile,
        reach: &SimulatedAddresses,
    ) -> Result<(Self, Vec<OutputFoundOn>), Refused> {
        let taken = Self::take_over(bench, reach);
        let mut stations = taken.instruments.stations.iter().filter(|_| reach.is_real());
        if let Some(station) = stations.find(|station| says_simulated(&station.identity)) {
            let why = format!(
                "says that it is simulated ({}): a run on it is a rehearsal",
                station.identity
            );
            return Err(taken.refused(Lost { instrument: station.name.clone(), why }));
        }
        match taken.failures.first() {
            None => Ok((taken.instruments, taken.found)),
            Some(failure) => Err(taken.refused(failure.error.lost(&failure.instrument))),
        }
    }

    /// Takes over each connected instrument of a bench, whatever is wrong with the others.
    #[must_use]
    pub fn take_over(bench: &BenchFile, reach: &SimulatedAddresses) -> TakenOver {
        let instruments = Self {
            bench: bench.clone(),
            stations: Vec::new(),
            trip: TripHandle::default(),
            clock: BenchClock::default(),
            pursuits: Vec::new(),
        };
        let mut all = TakenOver { instruments, found: Vec::new(), failures: Vec::new() };
        for (name, instrument) in bench.instruments.iter() {
            let Some(opened) = Station::open(name, instrument, reach) else { continue };
            let (found, failures) = (&mut all.found, &mut all.failures);
            let mut fail = |error, not_off| {
                failures.push(Failure::new(name, instrument, error, not_off));
            };
            match opened {
                Ok(mut station) => {
                    let taken = station.take_over(found);
                    match taken.and_then(|()| station.arm_watchdog(instrument)) {
                        Ok(()) => all.instruments.stations.push(station),
                        Err(error) => fail(error, station.not_off()),
                    }
                }
                Err(error) => {
                    let feeds = Feed::all_of(name, instrument);
                    fail(error, feeds.iter().map(|feed| feed.switch().name.clone()).collect());
                }
            }
        }
        let switches = all.instruments.stations.iter().filter_map(Station::off_switch);
        all.instruments.trip = TripHandle::new(switches.collect());
        all
    }

    /// Goes by this clock: that of a rehearsal.
    #[must_use]
    pub fn by_clock(mut self, clock: BenchClock) -> Self {
        self.clock = clock;
        self
    }

    /// Switches every output off and tells of each how that was confirmed. An instrument that does not confirm it is told again and
    /// again from then on.
    ///
    /// # Errors
    /// The instruments that can't be reached or do not confirm it.
    pub fn switch_off(&mut self) -> Result<OutputsOff, Unconfirmed> {
        let (mut confirmed, mut unconfirmed) = (Vec::new(), Vec::new());
        for station in &mut self.stations {
            // Until it is confirmed nobody knows how they stand.
            station.left.clear();
            let outputs = station.outputs();
            match outputs.switch_off() {
                Ok(off) => {
                    station.left_off();
                    self.pursuits.retain(|pursuit| pursuit.instrument != station.name);
                    confirmed.extend(off);
                }
                Err(not_off) => {
                    if !self.pursuits.iter().any(|pursuit| pursuit.instrument == station.name) {
                        self.pursuits.extend(Pursuit::begin(outputs, not_off.clone()));
                    }
                    unconfirmed.push(not_off);
                }
            }
        }
        if unconfirmed.is_empty() { Ok(confirmed) } else { Err(Unconfirmed(unconfirmed)) }
    }

    /// The probe that reads a point.
    pub(in crate::bench) fn probe(&self, point: &Point) -> Result<Probe, Lost> {
        let name = self.bench.connected(point).map(|(name, _)| name);
        let station = self.stations.iter().find(|station| Some(station.name.as_str()) == name);
        let station = station.ok_or_else(|| nothing_connected(&point.to_string()))?;
        Probe::at(station, point).map_err(|error| error.lost(&station.name))
    }

    /// The instruments as they are sampled.
    fn samplers(&self) -> Vec<StationSampler<'_>> {
        self.stations.iter().map(|station| StationSampler::new(station, &self.bench)).collect()
    }

    /// An output by its name, with its instrument.
    fn find(&mut self, channel: &str) -> Result<(&str, &Shared, &mut Feed), Lost> {
        let found = self.stations.iter_mut().find_map(|station| {
            let feed = station.feeds.iter_mut().find(|feed| feed.switch().name == channel)?;
            Some((station.name.as_str(), &station.device, feed))
        });
        found.ok_or_else(|| nothing_connected(channel))
    }

    /// How an output was left.
    fn left(&mut self, channel: &str) -> Option<&mut bool> {
        self.stations.iter_mut().find_map(|station| station.left.get_mut(channel))
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
            if let Some(left) = self.left(channel) {
                *left = true;
            }
        }
        Ok(())
    }
}

/// Tells whether an instrument calls itself simulated, or a simulator: by a word anywhere, or by a short one that stands alone, as in
/// "SIM-1" and not in "Simmons".
fn says_simulated(identity: &str) -> bool {
    let identity = identity.to_lowercase();
    let is_said =
        ["simulat", "emulat", "virtual", "dummy"].iter().any(|word| identity.contains(word));
    let words = identity.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty());
    let words: Vec<&str> = words.collect();
    let is_short = |word: &&str| ["sim", "demo", "fake", "mock"].contains(word);
    is_said || words.iter().any(is_short) || words.windows(2).any(|pair| pair == ["test", "double"])
}

fn nothing_connected(point: &str) -> Lost {
    Lost { instrument: point.to_owned(), why: "no instrument is connected for it".to_owned() }
}

impl Bench for Instruments {
    fn trip(&self) -> TripHandle {
        self.trip.clone()
    }

    fn outputs_off(&mut self) -> Result<OutputsOff, Unconfirmed> {
        self.switch_off()
    }

    fn off_news(&mut self) -> Vec<OffNews> {
        let news: Vec<_> = self.pursuits.iter().flat_map(Pursuit::news).collect();
        self.pursuits.retain(|pursuit| {
            !news.iter().any(|news| match news {
                OffNews::Confirmed { instrument, .. } => *instrument == pursuit.instrument,
                OffNews::Otherwise(_) => false,
            })
        });
        news
    }

    fn energise(&mut self, limits: &Limits) -> Result<(), Lost> {
        // What is told to go off again and again must not come up in between.
        if let Some(pursuit) = self.pursuits.first() {
            let why = "its outputs are not confirmed to be off".to_owned();
            return Err(Lost { instrument: pursuit.instrument.clone(), why });
        }
        let Err(mut lost) = self.bring_up(limits) else { return Ok(()) };
        if let Err(still) = self.switch_off() {
            lost.why = format!("{}; and then: {}", lost.why, still.lost());
        }
        Err(lost)
    }

    fn leave_to_hands(&mut self, source: Source) {
        for station in &mut self.stations {
            let is_its = |feed: &&Feed| matches!(feed, Feed::Mains(_)) == source.is_mains();
            for feed in station.feeds.iter().filter(is_its) {
                station.left.remove(&feed.switch().name);
            }
        }
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
        let mut samplers = self.samplers();
        let samplers = samplers.iter_mut().map(|sampler| sampler as &mut dyn Sampler).collect();
        let (trip, clock) = (&self.trip, &self.clock);
        watch::run(Sampling { samplers, trip, clock }, work, guards, look)
    }
}

impl Drop for Instruments {
    fn drop(&mut self) {
        // On the way out there is nobody left to tell.
        self.trip.send_off();
    }
}
