//! Mains before the lead and the earth have been checked.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::Stage;
use crate::procedure::step::SafetyProof;

pub(super) const CHECK: Check = Check::new(
    "ORD009",
    "mains-without-lead-and-earth",
    include_str!("mains_without_lead_and_earth.md"),
)
.of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = &subject.procedure.stages;
    let Some(first) = stages.iter().position(|stage| stage.source.is_mains()) else {
        return Vec::new();
    };
    let (before, rest) = stages.split_at(first);
    let Some(mains) = rest.first() else { return Vec::new() };
    let checks = [
        (SafetyProof::Lead, "lead", "the mains lead"),
        (SafetyProof::Earth, "earth", "the protective earth"),
    ];
    checks
        .into_iter()
        .filter(|(proof, ..)| !proved(before, *proof))
        .map(|(_, word, what)| {
            CHECK
                .error(format!("no step checks {what} before the first mains stage"))
                .at(mains.source.span)
                .help(format!(
                    "mark the step that checks it, in an earlier stage, with `proves: {word}`"
                ))
        })
        .collect()
}

fn proved(stages: &[Stage], proof: SafetyProof) -> bool {
    let mut steps = stages.iter().flat_map(|stage| &stage.steps);
    steps.any(|step| {
        step.proves.as_ref().is_some_and(|proves| match proves.value {
            SafetyProof::NoEarth => proof == SafetyProof::Earth,
            result => result == proof,
        })
    })
}
