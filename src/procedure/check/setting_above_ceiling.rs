//! A voltage to set that the ceiling of its own stage does not allow.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{CeilingText, Expression, may_be_set};

pub(super) const CHECK: Check =
    Check::new("ORD017", "setting-above-ceiling", include_str!("setting_above_ceiling.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let settings = subject.procedure.steps().filter_map(|(stage, step)| {
        Some((stage.ceiling.as_ref()?, step.set.as_ref()?.to.as_ref()?))
    });
    settings
        .filter_map(|(ceiling, to)| trials.iter().find_map(|trial| refused(ceiling, to, trial)))
        .collect()
}

fn refused(ceiling: &CeilingText, to: &Expression, trial: &Trial) -> Option<Finding> {
    let set = trial.value(to)?;
    // A ceiling that is not above zero has its own finding.
    let allowed = ceiling.evaluate(&|name: &str| trial.named(name)).ok()?;
    let error = may_be_set(&set, &allowed).err()?;
    Some(
        CHECK
            .error(error.to_string())
            .at(to.text.span)
            .related(ceiling.voltage.text.span, "the ceiling")
            .help("set less, or let the ceiling allow it"),
    )
}
