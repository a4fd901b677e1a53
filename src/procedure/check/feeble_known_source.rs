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
    let finding = feeble.then(|| {
        CHECK
            .error("a meter that reads nothing at all would pass on this known source")
            .at(low.text.span)
            .help("take a source of at least 1 V, as a 9 V battery, and write the range it really has")
    });
    finding.into_iter().collect()
}
