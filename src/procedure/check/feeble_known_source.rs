//! A known source that a dead meter would pass.

use super::{Check, Subject};
use crate::diagnostic::Finding;

pub(super) const CHECK: Check =
    Check::new("HAZ008", "feeble-known-source", include_str!("feeble_known_source.md"))
        .of_procedure(run);

/// The least that the known source has to show (V): well above the noise of open leads.
const LEAST_V: f64 = 1.0;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let [low, _] = subject.procedure.known_source.between.as_slice() else { return Vec::new() };
    let trials = subject.trials();
    let mut tried = trials.iter().filter_map(|trial| trial.value(low));
    let feeble = tried.any(|volts| volts.to_f64() < LEAST_V);
    if feeble {
        let found = CHECK
            .error("a meter that reads nothing at all would pass on this known source")
            .at(low.text.span);
        return vec![found.help(
            "take a source of at least 1 V, as a 9 V battery, and write the range it really has",
        )];
    }
    let mut points = subject.procedure.charge_points.iter();
    let taken_for_dead = points.find(|(_, point)| {
        trials.iter().any(|trial| {
            let ends = trial.value(low).zip(trial.value(&point.below));
            ends.is_some_and(|(low, dead)| low.to_f64() <= dead.to_f64())
        })
    });
    let finding = taken_for_dead.map(|(name, point)| {
        CHECK
            .error(format!("what the meter shows on this source counts as dead at `{}`", name.value))
            .at(low.text.span)
            .related(point.below.text.span, "dead here")
            .help("a meter that stands still passes: take a source above every limit of dead, or lower that limit")
    });
    finding.into_iter().collect()
}
