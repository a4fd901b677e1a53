//! A control that is moved when a result that depends on it can't be taken again as it was.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Procedure, Step, StepPosition};

pub(super) const CHECK: Check =
    Check::new("ORD013", "moved-too-late", include_str!("moved_too_late.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    procedure.positions().filter_map(|(at, step)| finding(procedure, at, step)).collect()
}

/// The first result that this step would send the run back to for ever: from there on everything is done again, and so
/// is this step.
fn finding(procedure: &Procedure, at: StepPosition, step: &Step) -> Option<Finding> {
    let moves = step.moves.as_ref()?;
    let stale = procedure.stale_after(moves);
    let lost = stale.range(..at).find(|from| !procedure.is_fed_alike(**from, at))?;
    let (_, result) = procedure.positions().find(|(position, _)| position == lost)?;
    let message = format!(
        "moving `{}` here undoes `{}`, which was taken while something else fed the equipment",
        moves.value, *result.step
    );
    let help = "move it before the source changes, or measure again in a step of its own and leave the first one without \
                `depends_on`";
    Some(CHECK.error(message).at(moves.span).related(result.step.span, "taken here").help(help))
}
