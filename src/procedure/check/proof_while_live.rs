//! A proof of dead that stands where a source is on.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::flow::flows;

pub(super) const CHECK: Check =
    Check::new("ORD020", "proof-while-live", include_str!("proof_while_live.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let flows = flows(subject.procedure);
    let steps = flows.iter().flat_map(|flow| &flow.steps);
    let proofs = steps.filter(|(step, energy)| energy.live && step.prove_dead.is_some());
    let findings = proofs.map(|(step, _)| {
        CHECK
            .error(format!("`{}` proves dead what is live", step.step.value))
            .at(step.step.span)
            .help("switch the source off first, with a step `set: {what: ..., power: off}`")
    });
    findings.collect()
}
