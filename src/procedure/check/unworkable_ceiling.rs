//! A ceiling under which nothing can be delivered.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{CeilingText, above_zero};

pub(super) const CHECK: Check =
    Check::new("ORD018", "unworkable-ceiling", include_str!("unworkable_ceiling.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let ceilings = subject.procedure.stages.iter().filter_map(|stage| stage.ceiling.as_ref());
    ceilings.filter_map(|ceiling| trials.iter().find_map(|trial| finding(ceiling, trial))).collect()
}

fn finding(ceiling: &CeilingText, trial: &Trial) -> Option<Finding> {
    [&ceiling.voltage, &ceiling.current].into_iter().find_map(|limit| {
        let error = above_zero(trial.value(limit)?).err()?;
        let found = CHECK.error(error.to_string()).at(limit.text.span);
        Some(found.help("write the most that the source may deliver"))
    })
}
