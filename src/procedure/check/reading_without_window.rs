//! A value that nothing judges.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Kind;

pub(super) const CHECK: Check =
    Check::new("WIN001", "reading-without-window", include_str!("reading_without_window.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let unjudged = subject
        .procedure
        .steps()
        .filter(|(_, step)| step.kind().and_then(Kind::is_judged) == Some(false));
    unjudged
        .map(|(_, step)| {
            CHECK
                .error(format!("the value of `{}` has no window", step.step.value))
                .at(step.step.span)
                .help("add `window`; to record a value and judge nothing, write `window: {record_only: true}`")
        })
        .collect()
}
