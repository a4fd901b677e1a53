//! `moves` on a step that is not an action, or `depends_on` on a step that has no result.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::Step;

pub(super) const CHECK: Check =
    Check::new("YML010", "misplaced-dependence", include_str!("misplaced_dependence.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    subject.procedure.steps().filter_map(|(_, step)| finding(step)).collect()
}

fn finding(step: &Step) -> Option<Finding> {
    if let Some(moves) = step.moves.as_ref().filter(|_| step.r#do.is_none()) {
        let found = CHECK.error(format!("`{}` is not an action, and so moves nothing", *step.step));
        return Some(
            found.at(moves.span).help("put `moves` on the `do` step that turns or changes it"),
        );
    }
    let depends = step.depends_on.first().filter(|_| !step.has_result())?;
    let found = CHECK.error(format!("`{}` has no result that could count no longer", *step.step));
    Some(
        found
            .at(depends.span)
            .help("put `depends_on` on the step that measures, looks or works out"),
    )
}
