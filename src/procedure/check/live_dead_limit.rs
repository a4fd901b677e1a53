//! A charge point that counts as dead at a voltage that hurts.

use super::{Check, Subject};
use crate::diagnostic::Finding;

pub(super) const CHECK: Check =
    Check::new("HAZ007", "live-dead-limit", include_str!("live_dead_limit.md")).of_procedure(run);

/// The highest voltage that counts as dead (V): common practice, no source; what is discharged reads a few volts.
const DEAD_MAX_V: f64 = 30.0;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let points = subject.procedure.charge_points.iter();
    points
        .filter_map(|(name, point)| {
            let mut tried = trials.iter().filter_map(|trial| trial.value(&point.below));
            let highest = tried.find(|limit| limit.to_f64().abs() > DEAD_MAX_V)?;
            let highest = highest.engineering(3, None);
            let message = format!("`{}` would count as dead at {highest}", name.value);
            let help = format!("{DEAD_MAX_V} V is the most; 2 V tells a discharged capacitor");
            Some(CHECK.error(message).at(point.below.text.span).help(help))
        })
        .collect()
}
