//! A rehearsal: the simulated bench, its model, and what is wrong with the equipment on it.

use std::path::Path;

use super::fault::Fault;
use super::file::{self, Document};
use crate::bench::BenchClock;
use crate::bench::instruments::Reach;
use crate::bench::simulated::{Rehearsal, SimulatedBench, faults, read_model};
use crate::journal::sha256_hex;
use crate::procedure::{Equipment, Procedure, bundled};
use crate::record::{Provided, Rehearsed};

/// The word for the simulated bench in the place of a bench file.
pub(super) const SIMULATED: &str = "simulated";

/// What a rehearsal is asked for with.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Wanted<'a> {
    pub(super) fault: Option<&'a str>,
    pub(super) model: Option<&'a Path>,
    pub(super) log: Option<&'a Path>,
}

impl Wanted<'_> {
    /// Tells whether anything was asked for that only a rehearsal has.
    pub(super) fn is_any(&self) -> bool {
        self.fault.is_some() || self.model.is_some() || self.log.is_some()
    }
}

/// A text that comes with the program, as a document.
pub(super) fn own(name: &str, text: &str) -> Document {
    let sha256 = sha256_hex(text.as_bytes());
    let name = format!("{name} (bundled)");
    Document { shown: name.clone(), file: Provided { name, sha256, text: text.to_owned() } }
}

/// Takes the model for a procedure: the one named, or the one that comes with it.
pub(super) fn rehearsed(procedure: &Procedure, wanted: Wanted<'_>) -> Result<Rehearsed, Fault> {
    let name = procedure.procedure.value.as_str();
    let document = match (wanted.model, bundled::model(name)) {
        (Some(path), _) => file::read(path)?,
        (None, Some(text)) => own("simulated.yaml", text),
        (None, None) => {
            let message = format!("nothing simulates the equipment of `{name}`");
            return Err(Fault::usage(message).help("name a model of it with --model FILE"));
        }
    };
    let model = read_model(&document.file.text)
        .map_err(|finding| super::verb::check::fault(&finding, &document))?;
    let fault = wanted.fault.map(str::to_owned);
    if let Some(unknown) = fault.as_ref().filter(|name| model.faults.get(name).is_none()) {
        let known: Vec<_> =
            faults(&model).into_iter().map(|(name, says)| format!("{name}: {says}")).collect();
        let message = format!("no fault `{unknown}` is known of this equipment");
        return Err(Fault::usage(message).help(format!("choose one of\n{}", known.join("\n"))));
    }
    Ok(Rehearsed { model: document.file, fault })
}

/// Sets the simulated bench up.
pub(super) fn begin(
    rehearsed: &Rehearsed,
    (procedure, equipment): (&Procedure, &Equipment),
    clock: &BenchClock,
    log: Option<&Path>,
) -> Result<(SimulatedBench, Reach), Fault> {
    let model =
        read_model(&rehearsed.model.text).map_err(|finding| Fault::failed(finding.message))?;
    let fault = rehearsed.fault.as_deref();
    let rehearsal = Rehearsal { procedure, equipment, model: &model, fault, clock, log };
    let bench = SimulatedBench::start(&rehearsal).map_err(Fault::failed)?;
    let reach = bench.addresses().iter().map(|(name, at)| (name.clone(), *at)).collect();
    Ok((bench, reach))
}
