//! A procedure with mains that ends without anyone who releases the equipment.

use super::{Check, Subject};
use crate::diagnostic::Finding;

pub(super) const CHECK: Check =
    Check::new("SAF006", "missing-release", include_str!("missing_release.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    let on_mains = procedure.stages.iter().any(|stage| stage.source.is_mains());
    let last = procedure.steps().last().filter(|_| on_mains);
    let finding = last.filter(|(_, step)| step.hold.is_none()).map(|(_, step)| {
        CHECK
            .warning("the procedure ends, and nobody releases the equipment")
            .at(step.step.span)
            .help("end it with a `hold` step: a second person looks through the readings and releases")
    });
    finding.into_iter().collect()
}
