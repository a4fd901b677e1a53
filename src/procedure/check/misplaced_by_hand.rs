//! `by_hand` on a step that is not an action, or where no connected supply could ever do it.

use super::outputs::set_with;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Procedure, Stage, Step};

pub(super) const CHECK: Check =
    Check::new("YML011", "misplaced-by-hand", include_str!("misplaced_by_hand.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    procedure.steps().filter_map(|(stage, step)| finding(procedure, stage, step)).collect()
}

fn finding(procedure: &Procedure, stage: &Stage, step: &Step) -> Option<Finding> {
    let by_hand = step.by_hand.as_ref().filter(|by_hand| by_hand.value)?;
    let name = step.step.value.as_str();
    if step.r#do.is_none() {
        let found = CHECK.error(format!("`{name}` is not an action, and is never left out"));
        return Some(found.at(by_hand.span).help("put `by_hand` on a `do` step, or leave it out"));
    }
    set_with(procedure, stage).next().is_none().then(|| {
        let found = CHECK.error(format!("no step sets an output, so `{name}` is always by hand"));
        found.at(by_hand.span).help("name the `channels` in a `set` step, or leave `by_hand` out")
    })
}
