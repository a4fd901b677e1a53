//! A procedure that does not say how the equipment is left.

use super::{Check, Subject};
use crate::diagnostic::Finding;

pub(super) const CHECK: Check =
    Check::new("SAF007", "missing-as-left", include_str!("missing_as_left.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    let steps = || procedure.steps().map(|(_, step)| step).enumerate();
    let left_after = |n: usize, name: &str| {
        let mut after = steps().skip(n + 1).filter_map(|(_, step)| step.as_left.as_ref());
        after.any(|as_left| as_left.value == name)
    };
    let found = steps().filter_map(|(n, step)| Some((n, step.as_found.as_ref()?)));
    let lost = found.filter(|(n, name)| !left_after(*n, name)).map(|(_, name)| {
        CHECK
            .warning(format!("`{}` is read as found, and never as left", name.value))
            .at(name.span)
            .help("read it again at the end, with the same words in `as_left`")
    });
    let mains = procedure.stages.iter().find(|stage| stage.source.is_mains());
    let none = mains.filter(|_| steps().all(|(_, step)| step.as_left.is_none()));
    let none = none.map(|mains| {
        CHECK
            .warning("no reading is marked as the equipment is left")
            .at(mains.stage.span)
            .help("mark the last readings with `as_left`: without one no report is a final one")
    });
    lost.chain(none).collect()
}
