//! One instrument as it is sampled: by its own drivers, one exchange at a time.

use std::collections::BTreeMap;

use super::error::DriverError;
use super::feed::Feed;
use super::meter::question;
use super::order::Order;
use super::station::Station;
use super::supply::SupplyOutput;
use crate::bench::Lost;
use crate::bench::watch::{Astray, Sampler};
use crate::procedure::{BenchFile, Point};

/// A station at work for a watch.
pub(super) struct StationSampler<'a> {
    station: &'a Station,
    bench: &'a BenchFile,
    /// The questions asked so far: they are asked again and again.
    questions: BTreeMap<Point, Order>,
}

impl<'a> StationSampler<'a> {
    pub(super) fn new(station: &'a Station, bench: &'a BenchFile) -> Self {
        Self { station, bench, questions: BTreeMap::new() }
    }

    fn supply(&self, channel: &str) -> Result<&SupplyOutput, DriverError> {
        let supply = self.station.feeds.iter().find_map(|feed| match feed {
            Feed::Supply(supply) if supply.switch.name == channel => Some(supply.as_ref()),
            Feed::Supply(_) | Feed::Mains(_) => None,
        });
        supply.ok_or_else(|| DriverError::NoQuestion { function: channel.to_owned() })
    }

    fn lost(&self, error: &DriverError) -> Lost {
        error.lost(&self.station.name)
    }
}

impl Sampler for StationSampler<'_> {
    fn name(&self) -> &str {
        &self.station.name
    }

    fn reads(&self, point: &Point) -> bool {
        self.bench.connected(point).is_some_and(|(name, _)| name == self.station.name)
    }

    fn feeds(&self, channel: &str) -> bool {
        self.supply(channel).is_ok()
    }

    fn sample(&mut self, point: &Point) -> Result<String, Lost> {
        if !self.questions.contains_key(point) {
            let asked = question(self.station, point).map_err(|error| self.lost(&error))?;
            self.questions.insert(point.clone(), asked);
        }
        let station = self.station;
        let reply = self.questions.get(point).map(|question| station.device.lock().ask(question));
        let unknown = || Err(DriverError::NoQuestion { function: point.to_string() });
        reply.unwrap_or_else(unknown).map_err(|error| self.lost(&error))
    }

    fn voltage_set(&mut self, channel: &str) -> Result<f64, Lost> {
        let supply = self.supply(channel);
        let set = supply.and_then(|supply| supply.voltage_set(&mut self.station.device.lock()));
        set.map_err(|error| self.lost(&error))
    }

    fn set_voltage(&mut self, channel: &str, voltage: f64) -> Result<(), Lost> {
        let supply = self.supply(channel);
        let set =
            supply.and_then(|supply| supply.set_voltage(&mut self.station.device.lock(), voltage));
        set.map_err(|error| self.lost(&error))
    }

    fn is_limiting(&mut self, channel: &str) -> Result<bool, Lost> {
        let supply = self.supply(channel);
        let limiting =
            supply.and_then(|supply| supply.is_limiting(&mut self.station.device.lock()));
        let untold = || DriverError::NoQuestion { function: format!("{channel}: limiting") };
        let limiting = limiting.and_then(|limiting| limiting.ok_or_else(untold));
        limiting.map_err(|error| self.lost(&error))
    }

    fn has_outputs(&self) -> bool {
        !self.station.left.is_empty()
    }

    fn astray(&mut self, off_is_due: bool) -> Result<Option<Astray>, Lost> {
        for feed in &self.station.feeds {
            let switch = feed.switch();
            let Some(was_on) = self.station.left.get(&switch.name) else { continue };
            let is_on = switch.is_on(&mut self.station.device.lock());
            match (was_on, is_on.map_err(|error| self.lost(&error))?) {
                (false, true) => return Ok(Some(Astray::FoundOn(switch.name.clone()))),
                (true, false) if !off_is_due => {
                    return Ok(Some(Astray::WentOff(switch.name.clone())));
                }
                (true, true) => {
                    let excess = feed.excess(&mut self.station.device.lock());
                    if let Some(reason) = excess.map_err(|error| self.lost(&error))? {
                        return Ok(Some(Astray::Above(reason)));
                    }
                }
                (true | false, false) => {}
            }
        }
        Ok(None)
    }

    fn be_sure(&mut self) -> Result<(), Lost> {
        self.station.device.lock().be_sure().map_err(|error| self.lost(&error))
    }

    fn answered_another(&mut self) -> bool {
        self.station.device.lock().answered_another()
    }
}
