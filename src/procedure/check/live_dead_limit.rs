//! A charge point that counts as dead at a voltage that hurts.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::ChargePoint;

pub(super) const CHECK: Check =
    Check::new("HAZ007", "live-dead-limit", include_str!("live_dead_limit.md")).of_procedure(run);

/// The highest voltage that counts as dead (V): common practice, no source; what is discharged reads a few volts.
const DEAD_MAX_V: f64 = 30.0;

/// The part of what a point holds that may be left in what counts as dead, where that is more than [`SMALL_V`].
const LEFT_MAX: f64 = 0.25;
/// Up to this voltage nothing is asked of what is left (V): common practice, no source.
const SMALL_V: f64 = 10.0;

/// A point that counts as dead with a good part of its charge in it: it was not discharged.
fn still_charged(point: &ChargePoint, trials: &[Trial]) -> Option<Finding> {
    let charged_to = &point.holds.as_ref()?.charged_to;
    let left = trials.iter().find_map(|trial| {
        let (limit, whole) =
            (trial.value(&point.below)?.to_f64(), trial.value(charged_to)?.to_f64());
        let left = limit / whole;
        (limit > SMALL_V && left > LEFT_MAX && limit <= DEAD_MAX_V).then_some(left)
    })?;
    Some(
        CHECK
            .error(format!("{:.0} % of its voltage would count as dead", 100.0 * left))
            .at(point.below.text.span)
            .related(charged_to.text.span, "what it is charged to")
            .help("2 V tells a discharged capacitor"),
    )
}

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let points = subject.procedure.charge_points.iter();
    let charged = |point: &ChargePoint| still_charged(point, trials);
    points
        .filter_map(|(name, point)| {
            if let Some(finding) = charged(point) {
                return Some(finding);
            }
            let mut tried = trials.iter().filter_map(|trial| trial.value(&point.below));
            let highest = tried.find(|limit| limit.to_f64().abs() > DEAD_MAX_V)?;
            let highest = highest.engineering(3, None);
            let message = format!("`{}` would count as dead at {highest}", name.value);
            let help = format!("{DEAD_MAX_V} V is the most; 2 V tells a discharged capacitor");
            Some(CHECK.error(message).at(point.below.text.span).help(help))
        })
        .collect()
}
