//! A rehearsal: the simulated bench, its model, and what is wrong with the equipment on it.

use std::path::Path;

use crate::bench::BenchClock;
use crate::bench::instruments::SimulatedAddresses;
use crate::bench::simulated::{Rehearsal, SimulatedBench, StartError};
use crate::diagnostic::Finding;
use crate::procedure::{
    Equipment, ModelFile, Procedure, bundled, read_equipment, read_model, read_procedure,
};
use crate::record::Rehearsed;
use crate::shell::documents;
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
    pub(crate) log: Option<&'a Path>,
}

impl RehearsalOptions<'_> {
    /// Tells whether anything was asked for that only a rehearsal has.
    pub(super) fn is_any(&self) -> bool {
        self.fault.is_some() || self.model.is_some() || self.log.is_some()
    }
}

/// Takes the model for a procedure: the one named, or the one that comes with it.
pub(super) fn rehearsed(
    procedure: &Procedure,
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
    let fault = wanted.fault.map(str::to_owned);
    if let Some(unknown) = fault.as_ref().filter(|name| model.faults.get(name).is_none()) {
        let known = model.faults.iter();
        let known = known.map(|(name, fault)| format!("{}: {}", name.value, fault.says.value));
        let known: Vec<_> = known.collect();
        let message = format!("no fault `{unknown}` is known of this equipment");
        return Err(Fault::usage(message).help(format!("choose one of\n{}", known.join("\n"))));
    }
    Ok(Rehearsed { model: document.file, fault })
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
    let rehearsal = Rehearsal { procedure, equipment, model: &model, fault, clock, log };
    let bench = SimulatedBench::start(&rehearsal).map_err(Fault::failed)?;
    let reach = bench.addresses().iter().map(|(name, at)| (name.clone(), *at)).collect();
    Ok((bench, reach))
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
        let rehearsal = Rehearsal { procedure, equipment, model, fault, clock, log: None };
        // What else keeps a rehearsal from beginning is not the model's.
        if let Err(StartError::Model(finding)) = SimulatedBench::try_out(&rehearsal)
            && !findings.contains(&*finding)
        {
            findings.push(*finding);
        }
    }
    findings
}
