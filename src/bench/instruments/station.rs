//! One connected instrument with its ways to the equipment.

use std::collections::BTreeMap;

use super::OutputFoundOn;
use super::device::Device;
use super::error::DriverError;
use super::feed::Feed;
use super::identity::{forget_errors, identify};
use super::order::Order;
use super::outputs::Outputs;
use super::reach::SimulatedAddresses;
use super::shared::Shared;
use super::watchdog::ArmedWatchdog;
use crate::bench::Off;
use crate::bench::link::Cutter;
use crate::bench::trip::OffSwitch;
use crate::procedure::Instrument;

/// One connected instrument.
pub(super) struct Station {
    pub(super) name: String,
    what: String,
    /// What it answered when it was asked who it is, cleaned.
    pub(super) identity: String,
    pub(super) device: Shared,
    pub(super) feeds: Vec<Feed>,
    /// How each output was left, true for on; one that nobody knows of is not in it.
    pub(super) left: BTreeMap<String, bool>,
    /// What each output said of its state before it was switched off, in the order of the feeds.
    before: Vec<Option<String>>,
    cutter: Cutter,
    /// What switches every output off, kept where it is had without waiting for the line.
    off: Vec<Order>,
    watchdog: Option<ArmedWatchdog>,
}

impl Station {
    /// Opens the line to an instrument, switches its outputs off before anything else, and makes sure that it is the one in the
    /// bench file.
    pub(super) fn open(
        name: &str,
        instrument: &Instrument,
        reach: &SimulatedAddresses,
    ) -> Option<Result<Self, DriverError>> {
        let connection = instrument.connection.as_ref()?;
        let open = || {
            let connection = reach.resolved(connection)?;
            let feeds = Feed::all_of(name, instrument);
            let outputs: Vec<_> = feeds.iter().map(|feed| feed.switch().number).collect();
            let (mut device, before) = Device::open(&connection, &outputs)?;
            let expected = connection.identity.as_ref().map(|identity| identity.value.as_str());
            let identity = identify(&mut device, expected)?;
            let off = |feed: &Feed| device.commands().switch(false, feed.switch().number);
            let off = feeds.iter().map(off).collect();
            let (name, cutter) = (name.to_owned(), device.cutter());
            let device = Shared::new(device);
            let what = instrument.what.value.clone();
            let left = BTreeMap::new();
            let watchdog = None;
            Ok(Self { name, what, identity, device, feeds, left, before, cutter, off, watchdog })
        };
        Some(open())
    }

    /// What switches its outputs off, for another thread too.
    pub(super) fn outputs(&self) -> Outputs {
        Outputs {
            instrument: self.name.clone(),
            what: self.what.clone(),
            device: self.device.clone(),
            feeds: self.feeds.clone(),
            off: self.off.clone(),
        }
    }

    /// Switches everything off and makes sure, then has the instrument forget its old errors; adds what was on to what was found,
    /// whatever else is wrong.
    pub(super) fn take_over(
        &mut self,
        all_found: &mut Vec<OutputFoundOn>,
    ) -> Result<(), DriverError> {
        self.send_off()?;
        let states: Vec<_> = self
            .feeds
            .iter()
            .zip(&self.before)
            .map(|(feed, told)| self.was_on(feed, told))
            .collect();
        let mut set_to = Vec::new();
        for (feed, state) in self.feeds.iter().zip(&states) {
            let is_on = *state == Ok(true);
            set_to.push(is_on.then(|| feed.voltage_set(&mut self.device.lock())));
        }
        let confirmed = self.confirm_off();
        for ((feed, set_to), off) in self.feeds.iter().zip(set_to).zip(&confirmed) {
            let (instrument, output) = (self.name.clone(), feed.switch().name.clone());
            let off = off.as_ref().ok().copied();
            all_found.extend(set_to.map(|set_to| OutputFoundOn {
                instrument,
                output,
                set_to,
                off,
            }));
        }
        confirmed.into_iter().try_for_each(|off| off.map(drop))?;
        states.into_iter().try_for_each(|state| state.map(drop))?;
        forget_errors(&mut self.device.lock())
    }

    fn was_on(&self, feed: &Feed, told: &Option<String>) -> Result<bool, DriverError> {
        let switch = feed.switch();
        let untold = || DriverError::Untold { output: switch.name.clone() };
        switch.means_on(&self.device.lock(), told.as_deref().ok_or_else(untold)?)
    }

    /// Arms the watchdog, where the instrument has one.
    pub(super) fn arm_watchdog(&mut self, instrument: &Instrument) -> Result<(), DriverError> {
        let watchdog =
            instrument.connection.as_ref().and_then(|watchdog| watchdog.dialect.watchdog.as_ref());
        let Some(watchdog) = watchdog else { return Ok(()) };
        let harmless = match self.feeds.first() {
            Some(feed) => self.device.lock().commands().state(feed.switch().number),
            None => self.device.lock().commands().identify(),
        };
        self.watchdog = Some(ArmedWatchdog::arm(&self.device, watchdog, harmless)?);
        Ok(())
    }

    /// Sends off to every output; one that can't be sent doesn't keep the others from it.
    pub(super) fn send_off(&self) -> Result<(), DriverError> {
        let mut device = self.device.lock();
        let sent: Vec<_> =
            self.feeds.iter().map(|feed| feed.switch().send_off(&mut device)).collect();
        sent.into_iter().collect()
    }

    /// Keeps in mind that every output was left off: from here on one that is on was switched on by someone else.
    pub(super) fn left_off(&mut self) {
        let outputs = self.feeds.iter().map(|feed| (feed.switch().name.clone(), false));
        self.left = outputs.collect();
    }

    /// The outputs that were not confirmed to be off, and left so.
    pub(super) fn not_off(&self) -> Vec<String> {
        let names = self.feeds.iter().map(|feed| &feed.switch().name);
        names.filter(|name| self.left.get(*name) != Some(&false)).cloned().collect()
    }

    /// Makes sure that every output is off; each one is looked at, whatever is wrong with those before it. What came of it, in the
    /// order of the outputs.
    fn confirm_off(&mut self) -> Vec<Result<Off, DriverError>> {
        let mut device = self.device.lock();
        let confirmed: Vec<_> =
            self.feeds.iter().map(|feed| feed.confirm_off(&mut device)).collect();
        drop(device);
        for (feed, _) in self.feeds.iter().zip(&confirmed).filter(|(_, off)| off.is_ok()) {
            self.left.insert(feed.switch().name.clone(), false);
        }
        confirmed
    }

    /// For the trip: the writing end of its line, and what switches every output off.
    pub(super) fn off_switch(&self) -> Option<OffSwitch> {
        let switch = || OffSwitch {
            instrument: self.name.clone(),
            cutter: self.cutter.clone(),
            messages: self.off.clone(),
        };
        (!self.off.is_empty()).then(switch)
    }
}
