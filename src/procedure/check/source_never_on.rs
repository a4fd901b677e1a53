//! An energised stage in which nothing is switched on.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::flow::{Flow, energises, flows};
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD008", "source-never-on", include_str!("source_never_on.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    flows(subject.procedure).iter().filter_map(finding).collect()
}

fn finding(flow: &Flow<'_>) -> Option<Finding> {
    let stage = flow.stage;
    let comes_on = flow.start.live || flow.steps.iter().any(|(step, _)| energises(step));
    if stage.source.value == Source::None || comes_on {
        return None;
    }
    Some(
        CHECK
            .error(format!("nothing in the stage `{}` switches its source on", stage.stage.value))
            .at(stage.source.span)
            .help("add a step `set: {what: ..., power: on}`, or `set` with `to`"),
    )
}
