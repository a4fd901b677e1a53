//! An energised stage that does not say how much its source can deliver.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD001", "unbounded-energy", include_str!("unbounded_energy.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = subject.procedure.stages.iter();
    stages
        .filter(|stage| stage.source.value != Source::None && stage.ceiling.is_none())
        .map(|stage| {
            CHECK
                .error(format!("the energised stage `{}` has no ceiling", stage.stage.value))
                .at(stage.source.span)
                .help("add `ceiling: {voltage: ..., current: ...}`: the most that the source can deliver")
        })
        .collect()
}
