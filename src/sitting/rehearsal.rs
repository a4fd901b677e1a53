//! A rehearsal: the simulated bench, its model, and what is wrong with the equipment on it.

use std::path::Path;

use super::hiding::{PracticeOptions, found, hide};
use crate::bench::BenchClock;
use crate::bench::instruments::SimulatedAddresses;
use crate::bench::simulated::{CircuitOnBench, Rehearsal, SimulatedBench, StartError};
use crate::circuit::Circuit;
use crate::diagnostic::Finding;
use crate::netlist::PlacedFault;
use crate::procedure::{
    Equipment, ModelFile, Procedure, bundled, check, read_circuit, read_equipment, read_model,
    read_procedure,
};
use crate::record::{Rehearsed, RehearsedCircuit};
use crate::shell::documents::{self, SoundCircuit};
use crate::shell::fault::Fault;
use crate::shell::file::{self, NamedFile};
use crate::shell::file_findings::FileFindings;

/// The word for the simulated bench in the place of a bench file.
pub(super) const SIMULATED: &str = "simulated";

/// What a rehearsal is asked for with.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct RehearsalOptions<'a> {
    pub(crate) fault: Option<&'a str>,
    pub(crate) model: Option<&'a Path>,
    /// The circuit that the bench stands on: a circuit file, or the name of a bundled procedure.
    pub(crate) circuit: Option<&'a Path>,
    pub(crate) log: Option<&'a Path>,
    /// A fault is hidden that the person has to find.
    pub(crate) practice: Option<PracticeOptions<'a>>,
}

impl RehearsalOptions<'_> {
    /// Tells whether anything was asked for that only a rehearsal has.
    pub(super) fn is_any(&self) -> bool {
        let is_named = self.fault.is_some() || self.model.is_some() || self.circuit.is_some();
        is_named || self.log.is_some() || self.practice.is_some()
    }
}

/// Takes the model for a procedure: the one named, or the one that comes with it.
pub(super) fn rehearsed(
    (procedure, equipment): (&Procedure, &Equipment),
    wanted: RehearsalOptions<'_>,
) -> Result<Rehearsed, Fault> {
    let name = procedure.procedure.value.as_str();
    let document = match (wanted.model, bundled::model(name)) {
        (Some(path), _) => file::read(path)?,
        (None, Some(text)) => documents::bundled_file("simulated.yaml", text),
        (None, None) => {
            let message = format!("nothing simulates the equipment of `{name}`");
            return Err(Fault::usage(message).help("name a model of it with --model FILE"));
        }
    };
    let model = documents::sound_model(&document)?;
    let circuit = wanted.circuit.map(documents::circuit).transpose()?;
    match (wanted.fault, &circuit) {
        (Some(fault), Some(circuit)) => fits(fault, circuit)?,
        (Some(fault), None) => is_of_model(fault, &model)?,
        (None, _) => {}
    }
    let hidden = match (wanted.practice, &circuit) {
        (Some(_), None) => {
            let fault = Fault::usage("a fault is hidden in the circuit of the equipment");
            return Err(
                fault.help("give --circuit FILE, or the name of a bundled procedure that has one")
            );
        }
        (Some(practice), Some(circuit)) => Some(hide((procedure, equipment), circuit, practice)?),
        (None, _) => None,
    };
    let fault = wanted.fault.map(str::to_owned);
    let circuit = circuit.map(|circuit| {
        let [file, netlist] = circuit.texts.map(|document| document.file);
        RehearsedCircuit { file, netlist }
    });
    Ok(Rehearsed { model: document.file, fault, circuit, hidden })
}

/// A fault of a circuit is a fault of one of its parts.
fn fits(fault: &str, circuit: &SoundCircuit) -> Result<(), Fault> {
    let placed: PlacedFault = fault.parse().map_err(|words: String| {
        Fault::usage(words).help("on a circuit a fault is one of its parts'; leave --circuit away for those of the model")
    })?;
    circuit.netlist.with(&placed).map(drop).map_err(Fault::usage)
}

fn is_of_model(fault: &str, model: &ModelFile) -> Result<(), Fault> {
    if model.faults.get(fault).is_some() {
        return Ok(());
    }
    let message = format!("no fault `{fault}` is known of this equipment");
    if fault.contains(':') {
        let fault = Fault::usage(message);
        return Err(fault.help("a fault of a part needs its circuit: give --circuit FILE"));
    }
    let known = model.faults.iter();
    let known = known.map(|(name, fault)| format!("{}: {}", name.value, fault.says.value));
    let known: Vec<_> = known.collect();
    Err(Fault::usage(message).help(format!("choose one of\n{}", known.join("\n"))))
}

/// Sets the simulated bench up.
pub(super) fn begin(
    rehearsed: &Rehearsed,
    procedure: &Procedure,
    equipment: &Equipment,
    clock: &BenchClock,
    log: Option<&Path>,
) -> Result<(SimulatedBench, SimulatedAddresses), Fault> {
    let model =
        read_model(&rehearsed.model.text).map_err(|finding| Fault::failed(finding.message))?;
    let fault = rehearsed.fault.as_deref();
    let on_bench = rehearsed.circuit.as_ref().map(|texts| on_bench(texts, rehearsed));
    let on_bench = on_bench.transpose().map_err(Fault::failed)?;
    // On a circuit the fault is one of its parts'.
    let fault = fault.filter(|_| on_bench.is_none());
    let circuit = on_bench.as_ref();
    let rehearsal = Rehearsal { procedure, equipment, model: &model, fault, circuit, clock, log };
    let bench = SimulatedBench::start(&rehearsal).map_err(Fault::failed)?;
    let reach = bench.addresses().iter().map(|(name, at)| (name.clone(), *at)).collect();
    Ok((bench, reach))
}

/// The circuit as the record holds it.
pub(super) fn circuit(texts: &RehearsedCircuit) -> Result<Circuit, String> {
    let file = read_circuit(&texts.file.text).map_err(|finding| finding.message)?;
    let netlist = check::read_netlist(&texts.netlist.text).map_err(|finding| finding.message)?;
    Ok(Circuit { file, netlist })
}

/// The circuit with the fault that was named or hidden.
fn on_bench(texts: &RehearsedCircuit, rehearsed: &Rehearsed) -> Result<CircuitOnBench, String> {
    let circuit = circuit(texts)?;
    let fault = match &rehearsed.hidden {
        Some(hidden) => found(hidden, &circuit)?,
        None => rehearsed.fault.as_deref().map(str::parse).transpose()?,
    };
    Ok(CircuitOnBench { circuit, fault })
}

/// What is wrong in a model file when it is rehearsed, sound and with each of its faults: with the procedure of its name, one of
/// these or a bundled one, and with this equipment or the one that is bundled. Nothing where one of the two is not known.
pub(crate) fn findings(
    document: &NamedFile,
    procedures: &[NamedFile],
    equipment: Option<&NamedFile>,
) -> Option<FileFindings> {
    let model = read_model(&document.file.text).ok()?;
    let name = model.simulates.value.as_str();
    let given = procedures.iter().filter_map(|document| read_procedure(&document.file.text).ok());
    let given = given.into_iter().find(|procedure| procedure.procedure.value == name);
    let procedure = given.or_else(|| read_procedure(bundled::text(name)?).ok())?;
    let equipment = match equipment {
        Some(document) => read_equipment(&document.file.text).ok()?,
        None => read_equipment(bundled::equipment(name)?).ok()?,
    };
    FileFindings::new(document, findings_in_each_fault(&model, &procedure, &equipment))
}

fn findings_in_each_fault(
    model: &ModelFile,
    procedure: &Procedure,
    equipment: &Equipment,
) -> Vec<Finding> {
    let clock = &BenchClock::default();
    let faults = model.faults.iter().map(|(name, _)| Some(name.value.as_str()));
    let mut findings = Vec::new();
    for fault in std::iter::once(None).chain(faults) {
        let rehearsal =
            Rehearsal { procedure, equipment, model, fault, circuit: None, clock, log: None };
        // What else keeps a rehearsal from beginning is not the model's.
        if let Err(StartError::Model(finding)) = SimulatedBench::try_out(&rehearsal)
            && !findings.contains(&*finding)
        {
            findings.push(*finding);
        }
    }
    findings
}
