//! A guard on what no connected supply can be watched at while it feeds the stage.

use super::outputs::{output_of, set_with};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Procedure, Stage};

pub(super) const CHECK: Check =
    Check::new("ORD014", "unguardable-point", include_str!("unguardable_point.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    let guards = procedure.stages.iter().flat_map(|stage| {
        stage.while_on.iter().filter_map(|(point, _)| finding(procedure, stage, point))
    });
    guards.collect()
}

fn finding(procedure: &Procedure, stage: &Stage, point: &At<String>) -> Option<Finding> {
    let Some(output) = output_of(point).filter(|output| !output.is_empty()) else {
        let found = CHECK.error(format!("`{}` is not a point at an output of a supply", **point));
        return Some(
            found
                .at(point.span)
                .help("write an output and what is guarded there, such as `plus.current`"),
        );
    };
    let is_set = set_with(procedure, stage).any(|name| name.value == output);
    (!is_set).then(|| {
        let found =
            CHECK.error(format!("no step on this source sets `{output}`, so it is never guarded"));
        found.at(point.span).help("name it in the `channels` of the `set` step that brings it up")
    })
}
