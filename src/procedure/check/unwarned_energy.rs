//! An energised stage without a hazard notice.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("HAZ001", "unwarned-energy", include_str!("unwarned_energy.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = subject.procedure.stages.iter();
    stages
        .filter(|stage| stage.source.value != Source::None && stage.hazard.is_none())
        .map(|stage| {
            CHECK
                .error(format!("the energised stage `{}` has no hazard notice", stage.stage.value))
                .at(stage.source.span)
                .help("add `hazard` to the stage: the signal word, the risk, the result, how to avoid it")
        })
        .collect()
}
