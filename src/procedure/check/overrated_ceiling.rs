//! A ceiling above what an output can be asked for.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{BenchFile, Expression, Stage};
use crate::quantity::Quantity;

pub(super) const CHECK: Check =
    Check::new("BEN015", "overrated-ceiling", include_str!("overrated_ceiling.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let Some(bench) = subject.bench else { return Vec::new() };
    let stages = subject.procedure.stages.iter();
    stages.filter_map(|stage| in_stage(stage, subject, bench)).collect()
}

fn in_stage(stage: &Stage, subject: &Subject<'_>, bench: &BenchFile) -> Option<Finding> {
    let ceiling = stage.ceiling.as_ref()?;
    stage.channels().find_map(|name| {
        let (_, supply) = bench.supply(name)?;
        let output = supply.channels.get(name)?;
        let above = |limit: &Expression, most: Quantity| is_above(limit, most, subject);
        let (limit, most) = if above(&ceiling.voltage, output.voltage_max) {
            (&ceiling.voltage, output.voltage_max)
        } else if above(&ceiling.current, output.current_max) {
            (&ceiling.current, output.current_max)
        } else {
            return None;
        };
        let most = most.engineering(3, None);
        let found = CHECK.error(format!("the ceiling is above the {most} of output `{}`", **name));
        Some(
            found
                .at(limit.text.span)
                .related(name.span, "the output")
                .help("take a supply that can do it, or a lower ceiling"),
        )
    })
}

/// Whatever the equipment: one that fits at the low end of what is credible may be the one at hand.
fn is_above(limit: &Expression, most: Quantity, subject: &Subject<'_>) -> bool {
    subject.trials().iter().all(|trial| {
        let limit = trial.value(limit);
        limit.and_then(|limit| limit.compare(&most)).is_some_and(std::cmp::Ordering::is_gt)
    })
}
