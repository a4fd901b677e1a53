//! Mains before the insulation of the mains side has been tested.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::safety::{Test, passes_as};

pub(super) const CHECK: Check =
    Check::new("SAF001", "mains-without-insulation", include_str!("mains_without_insulation.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = &subject.procedure.stages;
    let first = stages.iter().position(|stage| stage.source.is_mains());
    let Some((first, mains)) = first.and_then(|n| Some((n, stages.get(n)?))) else {
        return Vec::new();
    };
    let mut before = stages.iter().take(first).flat_map(|stage| &stage.steps);
    let tested = before.any(|step| passes_as(step, Test::Insulation));
    let finding = (!tested).then(|| {
        CHECK
            .error("no step tests the insulation before the first mains stage")
            .at(mains.source.span)
            .help("read it at 500 V DC in an earlier stage, and mark the step with `proves: insulation`")
    });
    finding.into_iter().collect()
}
