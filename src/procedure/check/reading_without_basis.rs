//! A window that does not say where its limits come from.

use super::words::{among, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Kind;

pub(super) const CHECK: Check =
    Check::new("WIN002", "reading-without-basis", include_str!("reading_without_basis.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let steps = subject.procedure.steps().map(|(_, step)| step);
    let valued = steps.filter(|step| step.kind().and_then(Kind::is_judged).is_some());
    valued
        .filter(|step| step.basis.as_ref().is_none_or(|basis| is_filler(basis)))
        .map(|step| {
            CHECK
                .error(format!("the limits of `{}` have no basis", step.step.value))
                .at(step.step.span)
                .help("add `basis`: the manual's page, the standard's clause, or \"shop rule\"")
        })
        .collect()
}

/// Whether the words name no source: "-", "tbd", "see above".
fn is_filler(basis: &str) -> bool {
    let fillers = "a above as basis experience limit na see tbd the todo unknown usual x";
    words(basis)
        .iter()
        .all(|word| word.low.split('/').all(|piece| piece.len() == 1 || among(fillers, piece)))
}
