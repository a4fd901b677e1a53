//! The circuit of the equipment on the simulated bench, fed as the instruments are set now.

use std::collections::BTreeMap;

use super::instruments::SimulatedInstruments;
use super::model::LoadNow;
use super::output::SimulatedOutput;
use crate::circuit::{BenchFeed, StandingCircuit};
use crate::physics::charging::{Charging, RailDraw};
use crate::procedure::OutputValue;
use crate::quantity::Quantity;
use crate::record::Key;

/// What is left of a circuit that draws nothing (ohm).
const DRAWS_NOTHING_OHM: f64 = 1e9;

/// A circuit on the bench.
#[derive(Debug)]
pub(super) struct CircuitBoard {
    circuit: StandingCircuit,
    /// What each output that feeds it stands at once it has settled.
    settled: BTreeMap<String, SettledOutput>,
    /// The first reason why it could not be worked out.
    trouble: Option<String>,
}

/// An output that feeds the circuit.
#[derive(Clone, Copy, Debug)]
struct SettledOutput {
    volts: f64,
    amps: f64,
}

impl CircuitBoard {
    pub(super) fn new(circuit: StandingCircuit) -> Self {
        let settled = BTreeMap::new();
        Self { circuit, settled, trouble: None }
    }

    /// Feeds the circuit as the instruments stand now.
    pub(super) fn stand(&mut self, instruments: &SimulatedInstruments) {
        let outputs = &instruments.supply.outputs;
        let mains = instruments.limiter.feeds();
        let feeds = outputs.iter().map(|output| {
            let (volts, amps) = (output.set.voltage_v, output.set.limit_a);
            let feed = match mains {
                Some(source) => BenchFeed::Mains(source),
                None if output.feeds() => BenchFeed::Output { volts, amps },
                None => BenchFeed::Off,
            };
            (output.name.as_str(), feed)
        });
        if self.circuit.feed(feeds) {
            self.settle(instruments);
        }
    }

    fn settle(&mut self, instruments: &SimulatedInstruments) {
        let settled = |output: &SimulatedOutput| {
            let name = &output.name;
            let show = |what| self.circuit.output(name, what).map(|value| value.to_f64());
            let (volts, amps) = (show(OutputValue::Voltage)?, show(OutputValue::Current)?);
            Some((name.clone(), SettledOutput { volts, amps }))
        };
        self.settled = instruments.supply.outputs.iter().filter_map(settled).collect();
        self.trouble = self.trouble.take().or_else(|| self.circuit.trouble());
    }

    /// A hand goes to a question.
    pub(super) fn go_to(&mut self, key: &Key, instruments: &SimulatedInstruments) {
        self.circuit.go_to(key);
        self.settle(instruments);
    }

    /// What is read at a question; nothing where the model has to say it.
    pub(super) fn reading(&self, key: &Key) -> Option<Option<Quantity>> {
        self.circuit.reading(key)
    }

    /// What a meter shows at a named point.
    pub(super) fn at(&self, point: &str) -> Result<Option<Quantity>, String> {
        self.circuit.at(point)
    }

    /// What an output feeds: the reservoir of the model, and beside it what the circuit takes once it has settled.
    pub(super) fn load(&self, name: &str, model: LoadNow) -> LoadNow {
        let Some(SettledOutput { volts, amps }) = self.settled.get(name).copied() else {
            return model;
        };
        let ohm = if amps > 0.0 { volts / amps } else { DRAWS_NOTHING_OHM };
        let resistance_ohm = ohm.clamp(f64::MIN_POSITIVE, DRAWS_NOTHING_OHM);
        let draw = RailDraw { resistance_ohm, current_a: 0.0, from_v: 0.0, full_v: 0.0 };
        let charging = Charging { draw, ..model.charging };
        LoadNow { charging, mains_v: Some(volts), ..model }
    }

    /// Whether nothing can be read of it now.
    pub(super) fn is_lost(&self) -> bool {
        self.circuit.trouble().is_some()
    }

    pub(super) fn trouble(&self) -> Option<&str> {
        self.trouble.as_deref()
    }
}
