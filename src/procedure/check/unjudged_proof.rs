//! A safety check that a step is marked to prove and does not.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::safety::{dimension, is_judged_reading};
use crate::procedure::step::{SafetyProof, Step};
use crate::quantity::Dimension;

pub(super) const CHECK: Check =
    Check::new("SAF002", "unjudged-proof", include_str!("unjudged_proof.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    subject.procedure.steps().filter_map(|(_, step)| finding(step)).collect()
}

fn finding(step: &Step) -> Option<Finding> {
    let proves = step.proves.as_ref()?;
    let (proven, help) = match proves.value {
        SafetyProof::NoEarth => (
            step.look.is_some(),
            "mark the `look` at the plate, whose answers name protection class II",
        ),
        SafetyProof::Lead | SafetyProof::Earth | SafetyProof::Insulation => {
            (is_judged_reading(step) && in_ohms(step), "mark a `read` in ohms that a window judges")
        }
        SafetyProof::Tester => (
            is_judged_reading(step) && (in_ohms(step) || in_amperes(step)),
            "mark a `read` in ohms, or of a known current, that a window judges",
        ),
    };
    (!proven).then(|| {
        CHECK
            .error(format!("`{}` proves nothing: no reading in it could fail", step.step.value))
            .at(proves.span)
            .help(help)
    })
}

fn in_ohms(step: &Step) -> bool {
    dimension(step) == Some(Dimension::RESISTANCE)
}

fn in_amperes(step: &Step) -> bool {
    dimension(step) == Some(Dimension::CURRENT)
}
