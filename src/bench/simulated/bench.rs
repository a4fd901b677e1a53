//! The simulated bench as the rest of the program sees it.

use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use super::board::CircuitBoard;
use super::instruments::SimulatedInstruments;
use super::limiter::Limiter;
use super::log::Log;
use super::meter::SimulatedMeter;
use super::model::{Model, facts};
use super::output::SimulatedOutput;
use super::rig::{Addressee, EquipmentOnBench, Rig, state_names};
use super::server::listen;
use super::supply::SimulatedSupply;
use crate::bench::BenchClock;
use crate::circuit::{Circuit, CircuitError, StandingCircuit};
use crate::diagnostic::Finding;
use crate::netlist::PlacedFault;
use crate::procedure::{
    BenchFile, Equipment, Instrument, ModelFile, Procedure, bundled, read_bench,
};
use crate::quantity::Quantity;
use crate::record::Key;

/// What is rehearsed, and how.
#[derive(Clone, Copy, Debug)]
pub struct Rehearsal<'a> {
    /// The procedure.
    pub procedure: &'a Procedure,
    /// The equipment whose facts the model works with.
    pub equipment: &'a Equipment,
    /// The model of that equipment.
    pub model: &'a ModelFile,
    /// What is wrong with it, by the fault's name in the model; nothing if none is named.
    pub fault: Option<&'a str>,
    /// The circuit that answers before the model does, if there is one.
    pub circuit: Option<&'a CircuitOnBench>,
    /// The bench's clock.
    pub clock: &'a BenchClock,
    /// A file for what the instruments get: ms since 1970, bench seconds, instrument, message, a line each.
    pub log: Option<&'a Path>,
}

/// A circuit that the bench stands on, and what is wrong with it.
#[derive(Clone, Debug)]
pub struct CircuitOnBench {
    /// The circuit.
    pub circuit: Circuit,
    /// What is wrong with it.
    pub fault: Option<PlacedFault>,
}

/// Why there is no simulated bench.
#[derive(Debug, thiserror::Error)]
pub enum StartError {
    /// The model is of another procedure's equipment.
    #[error("the model is of equipment for `{model}`, not for `{procedure}`")]
    OtherProcedure {
        /// Whose model it is.
        model: String,
        /// The procedure of the rehearsal.
        procedure: String,
    },
    /// There is no fault of this name.
    #[error("there is no fault `{name}` to choose; these are known: {}", known.join(", "))]
    UnknownFault {
        /// What was named.
        name: String,
        /// What could have been.
        known: Vec<String>,
    },
    /// A fact of the equipment file is not usable.
    #[error("a fact of the equipment file is not taken: {0}")]
    Fact(String),
    /// Something is wrong in the model file, or in the bench file that belongs to the simulated bench.
    #[error("the model cannot be used: {}", .0.message)]
    Model(Box<Finding>),
    /// Nothing can be told of the circuit.
    #[error("the circuit cannot be rehearsed: {0}")]
    Circuit(#[from] CircuitError),
    /// No socket or no log.
    #[error("the simulated bench cannot be set up: {0}")]
    System(#[from] std::io::Error),
}

impl From<Finding> for StartError {
    fn from(finding: Finding) -> Self {
        Self::Model(Box::new(finding))
    }
}

/// A bench inside the program. Its instruments answer until the process ends.
#[derive(Debug)]
pub struct SimulatedBench {
    rig: Arc<Mutex<Rig>>,
    addresses: BTreeMap<String, SocketAddr>,
}

impl SimulatedBench {
    /// Sets the bench up with the equipment on it, everything off.
    ///
    /// # Errors
    /// A model, a fault or facts that cannot be used, or no socket.
    pub fn start(rehearsal: &Rehearsal<'_>) -> Result<Self, StartError> {
        let rig = Arc::new(Mutex::new(rig(rehearsal)?));
        let mut addresses = BTreeMap::new();
        for who in Addressee::ALL {
            addresses.insert(who.name().to_owned(), listen(who, &rig)?);
        }
        Ok(Self { rig, addresses })
    }

    /// Tries every formula of a model, without setting a bench up.
    ///
    /// # Errors
    /// As [`SimulatedBench::start`].
    pub fn try_out(rehearsal: &Rehearsal<'_>) -> Result<(), StartError> {
        rig(rehearsal).map(drop)
    }

    /// Where each instrument answers, by its name in an address `simulated://NAME`.
    #[must_use]
    pub fn addresses(&self) -> &BTreeMap<String, SocketAddr> {
        &self.addresses
    }

    /// Goes to a question, by its key: the probes are put where it says, and the hands do what it asks, such as turning
    /// a control or switching the mains outlet. To be called for each question that is put.
    pub fn probe(&self, key: &Key) {
        self.rig().probe(key);
    }

    /// What a person would read at a question, exactly; none where the model knows nothing of it.
    #[must_use]
    pub fn shows(&self, key: &Key) -> Option<Quantity> {
        self.rig().shows(key)
    }

    /// What a meter shows at a named point of the circuit; nothing where nothing feeds it.
    ///
    /// # Errors
    /// There is no such point, in words.
    pub fn at(&self, point: &str) -> Result<Option<Quantity>, String> {
        self.rig().at(point)
    }

    /// What a person would see at a look, in the words of its stated answers; none where it is the first good one.
    #[must_use]
    pub fn look(&self, key: &Key) -> Option<String> {
        self.rig().look(key).map(str::to_owned)
    }

    /// Why the circuit could not answer at some moment, if there was one.
    #[must_use]
    pub fn trouble(&self) -> Option<String> {
        self.rig().trouble().map(str::to_owned)
    }

    /// Lets bench time pass at once.
    pub fn pass(&self, time: Duration) {
        self.rig().pass(time);
    }

    fn rig(&self) -> MutexGuard<'_, Rig> {
        self.rig.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Puts the equipment on the bench, and tries every formula of its model.
fn rig(rehearsal: &Rehearsal<'_>) -> Result<Rig, StartError> {
    let Rehearsal { procedure, model: file, .. } = *rehearsal;
    if file.simulates.value != procedure.procedure.value {
        return Err(StartError::OtherProcedure {
            model: file.simulates.value.clone(),
            procedure: procedure.procedure.value.clone(),
        });
    }
    let fault = rehearsal.fault.map(|name| {
        file.faults.get(name).ok_or_else(|| StartError::UnknownFault {
            name: name.to_owned(),
            known: file.faults.iter().map(|(name, _)| name.value.clone()).collect(),
        })
    });
    let facts = facts(procedure, rehearsal.equipment).map_err(StartError::Fact)?;
    let instruments = instruments()?;
    let outputs = instruments.supply.outputs.iter().map(|output| output.name.as_str());
    let controls = file.controls.iter().map(|(name, _)| name.value.as_str());
    let states = state_names(outputs, controls);
    let model = Model::new(file, fault.transpose()?, facts, &states)?;
    let on_bench = EquipmentOnBench { model, board: board(rehearsal)? };
    let (clock, log) = (rehearsal.clock.clone(), Log::begin(rehearsal.log)?);
    Ok(Rig::new(on_bench, instruments, procedure, clock, log)?)
}

fn board(rehearsal: &Rehearsal<'_>) -> Result<Option<CircuitBoard>, CircuitError> {
    let Some(CircuitOnBench { circuit, fault }) = rehearsal.circuit else { return Ok(None) };
    let files = (rehearsal.procedure, rehearsal.equipment);
    let spoiled = fault.iter().cloned().collect();
    StandingCircuit::new(circuit.clone(), spoiled, files)
        .map(|circuit| Some(CircuitBoard::new(circuit)))
}

/// The instruments as the bench file of the simulated bench describes them.
fn instruments() -> Result<SimulatedInstruments, Finding> {
    let file = read_bench(bundled::SIMULATED_BENCH)?;
    let meter = |who: Addressee| -> Result<SimulatedMeter, Finding> {
        Ok(SimulatedMeter::new(identity(who), described(&file, who)?))
    };
    let channels = described(&file, Addressee::Supply)?.channels.iter();
    let outputs = channels.map(|(name, channel)| {
        let (volts, amps) = (channel.voltage_max.to_f64(), channel.current_max.to_f64());
        SimulatedOutput::new(name.value.clone(), channel.number.value, volts, amps)
    });
    Ok(SimulatedInstruments {
        supply: SimulatedSupply::new(identity(Addressee::Supply), outputs.collect()),
        meter: meter(Addressee::Meter)?,
        tester: meter(Addressee::Tester)?,
        limiter: Limiter::new(meter(Addressee::Limiter)?),
    })
}

fn described(file: &BenchFile, who: Addressee) -> Result<&Instrument, Finding> {
    file.instruments.get(who.name()).ok_or_else(|| {
        let message = format!("the simulated bench has no instrument `{}`", who.name());
        Finding::error("YML004", "missing-key", message)
    })
}

/// What an instrument answers to the question who it is.
fn identity(who: Addressee) -> String {
    format!("Tallow & Pike (invented),simulated {},0,1", who.name())
}
