//! Hiding a fault at the start of a practice, and finding it again when one is taken up.

use super::chance::random;
use crate::circuit::practice::has_values;
use crate::circuit::{Circuit, coverage};
use crate::practice::{DrawnFault, FaultDraw, hidden, named, opened};
use crate::procedure::{Equipment, Procedure};
use crate::record::HiddenFault;
use crate::shell::documents::SoundCircuit;
use crate::shell::fault::Fault;

/// How a practice is asked for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PracticeOptions<'a> {
    /// The seed by which the fault is drawn; by chance without one.
    pub(crate) seed: Option<u64>,
    /// What was repaired in the shop on such equipment, in the words of those who did it.
    pub(crate) repairs: &'a [String],
}

/// How many faults are drawn until one has an operating point everywhere; of a circuit in which so many have none, none is practised.
const DRAWS_MAX: usize = 20;

/// Draws a fault that the bench can show, and hides it.
pub(super) fn hide(
    (procedure, equipment): (&Procedure, &Equipment),
    circuit: &SoundCircuit,
    options: PracticeOptions<'_>,
) -> Result<HiddenFault, Fault> {
    let circuit = Circuit { file: circuit.file.clone(), netlist: circuit.netlist.clone() };
    let faults = coverage::every_fault(&circuit);
    if faults.is_empty() {
        return Err(Fault::usage("the circuit file has no parts, so there is no fault to hide"));
    }
    let repairs = named(&faults, options.repairs);
    let counted = repairs.values().sum::<u64>();
    let counted = usize::try_from(counted).unwrap_or(usize::MAX);
    let seed = options.seed.unwrap_or_else(random);
    for fault in FaultDraw::among(&faults, &repairs, seed).take(DRAWS_MAX) {
        let spoiled = fault.iter().cloned().collect();
        if has_values((procedure, equipment), &circuit, &spoiled).map_err(Fault::failed)? {
            return Ok(hidden(&fault, random(), faults.len(), counted));
        }
    }
    let message = "none of the faults that were drawn has an operating point in every state that the procedure brings the circuit into";
    Err(Fault::failed(message)
        .help("`wattstep rehearse PROCEDURE --circuit FILE --every-fault` says which have none"))
}

/// The fault that a record hides.
pub(super) fn found(hidden: &HiddenFault, circuit: &Circuit) -> Result<DrawnFault, String> {
    opened(hidden, &coverage::every_fault(circuit)).ok_or_else(|| {
        "the fault that this practice hides is none of those that its circuit can have: its first line was changed, or another \
         version of the program began it"
            .to_owned()
    })
}
