//! A `depends_on` that names what no step moves.

use std::collections::BTreeSet;

use super::{Check, Subject};
use crate::diagnostic::{Finding, nearest};
use crate::procedure::At;

pub(super) const CHECK: Check =
    Check::new("QTY010", "unmoved-control", include_str!("unmoved_control.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let steps = || subject.procedure.steps().map(|(_, step)| step);
    let moved: BTreeSet<&str> =
        steps().filter_map(|step| Some(step.moves.as_ref()?.value.as_str())).collect();
    let named = steps().flat_map(|step| &step.depends_on);
    named
        .filter(|name| !moved.contains(name.value.as_str()))
        .map(|name| finding(name, &moved))
        .collect()
}

fn finding(name: &At<String>, moved: &BTreeSet<&str>) -> Finding {
    let found = CHECK.error(format!("no step moves `{}`", name.value)).at(name.span);
    match nearest(name, moved.iter().copied()) {
        Some(meant) => found.help(format!("did you mean `{meant}`?")),
        None => {
            found.help("write `moves` with this name on the `do` step that turns or changes it")
        }
    }
}
