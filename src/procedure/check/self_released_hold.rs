//! A hold or witness point of the very role that runs the procedure.

use super::families::NOBODY;
use super::words::among;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Hold;

pub(super) const CHECK: Check =
    Check::new("ORD012", "self-released-hold", include_str!("self_released_hold.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    let stages = procedure.stages.iter().filter_map(|stage| stage.hold.as_ref());
    let steps = procedure.steps().filter_map(|(_, step)| step.hold.as_deref());
    let runner = role(&procedure.run_by);
    let is_no_other = |written: &str| role(written) == runner || among(NOBODY, &role(written));
    let is_own = |hold: &&Hold| is_no_other(&hold.released_by);
    let witnesses = procedure.steps().filter_map(|(_, step)| step.witness.as_deref());
    let seen = witnesses.filter(|witness| is_no_other(&witness.by)).map(|witness| {
        CHECK
            .error(format!(
                "`{}` runs the procedure or is nobody, and can't be its witness",
                witness.by.value
            ))
            .at(witness.by.span)
            .related(procedure.run_by.span, "the role that runs it")
            .help("name another role: a witness is someone else")
    });
    let released = stages.chain(steps).filter(is_own).map(|hold| {
        CHECK
            .error(format!(
                "`{}` runs the procedure or is nobody, and can't release the hold",
                hold.released_by.value
            ))
            .at(hold.released_by.span)
            .related(procedure.run_by.span, "the role that runs it")
            .help("name another role: nobody releases their own hold")
    });
    released.chain(seen).collect()
}

/// A role without its blanks and capitals.
fn role(written: &str) -> String {
    let letters = written.chars().filter(|c| !c.is_whitespace());
    letters.flat_map(char::to_lowercase).collect()
}
