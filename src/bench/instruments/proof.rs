//! Proofs of the instruments themselves: what a bench file claims, shown on the bench with nothing or a known load connected.

use std::thread;
use std::time::{Duration, Instant};

use super::Instruments;
use super::commands::{OutputSetting, plain};
use super::error::DriverError;
use super::feed::Feed;
use super::station::Station;
use super::supply::SupplyOutput;
use crate::bench::TripHandle;
use crate::procedure::OutputValue;
use crate::quantity::Quantity;

/// The voltage that a proof of off switches on (V): below any that hurts, above what an ammeter or voltmeter makes up.
const PROOF_VOLTAGE: f64 = 3.0;

/// How long a voltage may take to come up or to fall in a proof.
const PROOF_TIME: Duration = Duration::from_secs(10);

/// The time between two looks.
const LOOK: Duration = Duration::from_millis(10);

/// How long an output may take to settle before it is asked whether it limits.
const SETTLING: Duration = Duration::from_millis(300);

/// How often an instrument is asked for its round-trip time.
const ASKED: usize = 200;

/// The longest that measuring a round-trip time takes.
const ASKING_MAX: Duration = Duration::from_secs(20);

/// A setting as it was sent and read back.
#[derive(Clone, Debug, PartialEq)]
pub struct SettingProof {
    /// `V` or `A`.
    pub unit: &'static str,
    /// What was sent.
    pub asked: f64,
    /// What was read back.
    pub read: f64,
    /// Whether the two are near enough.
    pub fits: bool,
}

/// How an output ended.
#[derive(Clone, Debug, PartialEq)]
pub struct OutputFall {
    /// The voltage while it was on (V).
    pub on: f64,
    /// The last voltage seen after it was switched off (V).
    pub last: f64,
    /// When it was below the limit; `None` when it never was.
    pub after: Option<Duration>,
    /// The limit (V).
    pub below: f64,
    /// The latest measured current (A).
    pub current: f64,
}

/// What an output told of its limiting with a known load.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitingProof {
    /// Told while it delivered less than its limit; has to be no.
    pub below_limit: bool,
    /// Told while the load would draw twice the limit; has to be yes.
    pub at_limit: bool,
    /// The limit that was set (A).
    pub limit: f64,
    /// The current measured at the limit (A).
    pub current: f64,
}

/// How long a question and its answer take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RoundTrip {
    /// How often it was asked.
    pub asked: usize,
    /// Half of them were faster.
    pub median: Duration,
    /// 99 of 100 were faster.
    pub percentile_99: Duration,
}

impl LimitingProof {
    /// Tells whether the indication can be relied on, and the current with it.
    #[must_use]
    pub fn holds(&self) -> bool {
        let is_near = (self.current - self.limit).abs() <= 0.1 * self.limit;
        !self.below_limit && self.at_limit && is_near
    }
}

impl Instruments {
    /// The power a known load is given at most (W): what the smallest common resistors bear (common practice, no source).
    pub const LOAD_POWER: f64 = 0.125;

    /// The instruments that were taken over, and what each answered when it was asked who it is.
    pub fn identities(&self) -> impl Iterator<Item = (&str, &str)> {
        self.stations.iter().map(|station| (station.name.as_str(), station.identity.as_str()))
    }

    /// The outputs of supplies that one instrument has.
    #[must_use]
    pub fn supply_outputs(&self, instrument: &str) -> Vec<String> {
        let stations = self.stations.iter().filter(|station| station.name == instrument);
        let names = stations.flat_map(|station| &station.feeds).filter_map(|feed| match feed {
            Feed::Supply(supply) => Some(supply.switch.name.clone()),
            Feed::Mains(_) => None,
        });
        names.collect()
    }

    /// Sets an output to values within its limits, and the protections that it has, while it is off, and reads each back.
    ///
    /// # Errors
    /// An instrument that does not answer, or reports an error.
    pub fn prove_settings(&mut self, output: &str) -> Result<Vec<SettingProof>, DriverError> {
        let (station, supply) = self.supply(output)?;
        // An output that ignored off would follow every setting.
        supply.confirm_dead(&mut station.device.lock())?;
        let (current, voltage) =
            (supply.channel.current_max.to_f64(), supply.channel.voltage_max.to_f64());
        let protection = supply.channel.protection;
        // Downwards, so that it ends at the least; protections last, in the middle: none is below what is set then.
        let parts = [1.0, 0.5, 0.1, 0.02];
        let currents = parts.map(|part| (OutputSetting::Current, current * part));
        let voltages = parts.map(|part| (OutputSetting::Voltage, voltage * part));
        let over = |setting, part: Option<Quantity>, maximum: f64| {
            part.map(|part| (setting, 0.5 * maximum * part.to_f64()))
        };
        let over = [
            over(OutputSetting::OverVoltage, protection.over_voltage, voltage),
            over(OutputSetting::OverCurrent, protection.over_current, current),
        ];
        let all = currents.into_iter().chain(voltages).chain(over.into_iter().flatten());
        let proof = |(setting, value): (OutputSetting, f64)| {
            unfired(&self.trip)?;
            let read = supply.set_and_read(&mut station.device.lock(), setting, value)?;
            let (asked, read, fits) = (read.asked, read.read, read.fits);
            Ok(SettingProof { unit: setting.unit(), asked, read, fits })
        };
        all.map(proof).collect()
    }

    /// Switches an output on at a few volts and off again, and measures until its voltage is gone. Nothing may be connected.
    ///
    /// # Errors
    /// An instrument that does not answer or does otherwise; off was sent by then.
    pub fn prove_off(&mut self, output: &str) -> Result<OutputFall, DriverError> {
        let (station, supply) = self.supply(output)?;
        let result = fall(station, supply, PROOF_TIME.div_f64(self.clock.speed()), &self.trip);
        station.send_off()?;
        result
    }

    /// Makes sure that an output is off and nothing is left at its terminals, before something is put across them.
    ///
    /// # Errors
    /// An instrument that does not answer, or an output that is or may be on.
    pub fn prove_dead(&mut self, output: &str) -> Result<(), DriverError> {
        let (station, supply) = self.supply(output)?;
        supply.confirm_dead(&mut station.device.lock())
    }

    /// Brings the known load of an output below and to its current limit, and asks both times whether it limits.
    ///
    /// `None` where the bench file says no load, or not how the supply tells.
    ///
    /// # Errors
    /// An instrument that does not answer or does otherwise; off was sent by then.
    pub fn prove_limiting(&mut self, output: &str) -> Result<Option<LimitingProof>, DriverError> {
        let (station, supply) = self.supply(output)?;
        let Some(load) = supply.channel.known_load else { return Ok(None) };
        let result = limiting(station, supply.clone(), load.to_f64(), &self.trip);
        station.send_off()?;
        let off = supply.confirm_dead(&mut station.device.lock());
        let proof = result?;
        off?;
        Ok(proof)
    }

    /// Measures how long a question and its answer take.
    ///
    /// # Errors
    /// An instrument that does not answer.
    pub fn round_trip(&mut self, instrument: &str) -> Result<RoundTrip, DriverError> {
        let station = self.stations.iter().find(|station| station.name == instrument);
        let nothing = || DriverError::NothingThere { name: instrument.to_owned() };
        let station = station.ok_or_else(nothing)?;
        let mut times = Vec::new();
        let started = Instant::now();
        while times.len() < ASKED && started.elapsed() < ASKING_MAX {
            unfired(&self.trip)?;
            let mut device = station.device.lock();
            let question = device.commands().identify();
            let asked = Instant::now();
            device.ask(&question)?;
            times.push(asked.elapsed());
        }
        times.sort_unstable();
        let at = |part: usize| times.get(times.len().saturating_sub(1) * part / 100).copied();
        let (median, percentile_99) = (at(50).unwrap_or_default(), at(99).unwrap_or_default());
        Ok(RoundTrip { asked: times.len(), median, percentile_99 })
    }

    /// A supply's output by its name; what the proof does to it is not the stage's.
    fn supply(&self, output: &str) -> Result<(&Station, SupplyOutput), DriverError> {
        let found = self.stations.iter().find_map(|station| {
            station.feeds.iter().find_map(|feed| match feed {
                Feed::Supply(supply) if supply.switch.name == output => Some((station, supply)),
                Feed::Supply(_) | Feed::Mains(_) => None,
            })
        });
        let found = found.map(|(station, supply)| (station, SupplyOutput::clone(supply)));
        found.ok_or_else(|| DriverError::NothingThere { name: output.to_owned() })
    }
}

/// Nothing goes on behind a trip that was fired.
fn unfired(trip: &TripHandle) -> Result<(), DriverError> {
    if trip.has_fired() { Err(DriverError::Fired) } else { Ok(()) }
}

fn fall(
    station: &Station,
    mut supply: SupplyOutput,
    time: Duration,
    trip: &TripHandle,
) -> Result<OutputFall, DriverError> {
    let mut device = station.device.lock();
    let voltage = PROOF_VOLTAGE.min(supply.channel.voltage_max.to_f64());
    let least = 0.01 * supply.channel.current_max.to_f64();
    let current = least.max(0.01).min(supply.channel.current_max.to_f64());
    supply.prepare(&mut device, voltage, current)?;
    unfired(trip)?;
    supply.switch.switch_on(&mut device)?;
    // It may have come on behind a trip that was fired meanwhile.
    unfired(trip)?;
    supply.set_voltage(&mut device, voltage)?;
    let mut measure = |what| unfired(trip).and_then(|()| supply.measure(&mut device, what));
    let (on, came) =
        until(&mut || measure(OutputValue::Voltage), &|seen| seen >= 0.9 * voltage, time)?;
    if came.is_none() {
        let (output, seen) = (supply.switch.name.clone(), plain(on));
        return Err(DriverError::NotUp { output, wanted: plain(voltage), seen });
    }
    supply.switch.send_off(&mut device)?;
    let below = supply.dead_below().min(voltage / 2.0);
    let mut measure = |what| unfired(trip).and_then(|()| supply.measure(&mut device, what));
    let (last, after) =
        until(&mut || measure(OutputValue::Voltage), &|seen| seen.abs() <= below, time)?;
    let current = measure(OutputValue::Current)?;
    supply.switch.expect_off(&mut device)?;
    Ok(OutputFall { on, last, after, below, current })
}

fn limiting(
    station: &Station,
    mut supply: SupplyOutput,
    load: f64,
    trip: &TripHandle,
) -> Result<Option<LimitingProof>, DriverError> {
    let mut device = station.device.lock();
    let voltage_max = supply.channel.voltage_max.to_f64();
    let of_voltage = voltage_max / (2.0 * load);
    let limit = (Instruments::LOAD_POWER / load)
        .sqrt()
        .min(of_voltage)
        .min(supply.channel.current_max.to_f64());
    supply.prepare(&mut device, 2.0 * limit * load, limit)?;
    unfired(trip)?;
    supply.switch.switch_on(&mut device)?;
    unfired(trip)?;
    supply.set_voltage(&mut device, 0.5 * limit * load)?;
    thread::sleep(SETTLING);
    let Some(below_limit) = supply.is_limiting(&mut device)? else { return Ok(None) };
    unfired(trip)?;
    supply.set_voltage(&mut device, 2.0 * limit * load)?;
    thread::sleep(SETTLING);
    let Some(at_limit) = supply.is_limiting(&mut device)? else { return Ok(None) };
    let current = supply.measure(&mut device, OutputValue::Current)?;
    Ok(Some(LimitingProof { below_limit, at_limit, limit, current }))
}

/// Measures until a value is as wanted, and tells when that was; `None` when it never was in time.
fn until(
    measure: &mut dyn FnMut() -> Result<f64, DriverError>,
    wanted: &dyn Fn(f64) -> bool,
    time: Duration,
) -> Result<(f64, Option<Duration>), DriverError> {
    let started = Instant::now();
    loop {
        let seen = measure()?;
        let after = started.elapsed();
        if wanted(seen) {
            return Ok((seen, Some(after)));
        }
        if after >= time {
            return Ok((seen, None));
        }
        thread::sleep(LOOK);
    }
}
