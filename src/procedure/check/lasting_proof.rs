//! A proof of dead that is believed for too long.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::act::milliseconds;
use crate::quantity::Dimension;

pub(super) const CHECK: Check =
    Check::new("ORD032", "lasting-proof", include_str!("lasting_proof.md")).of_procedure(run);

/// The longest that a proof is believed (s): common practice, no source.
const LASTS_MAX_S: f64 = 3600.0;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let Some(lasts) = &subject.procedure.proof_lasts else { return Vec::new() };
    let tried = subject.trials().iter().filter_map(|trial| trial.value(lasts));
    let mut times = tried.filter(|time| time.dimension == Dimension::TIME);
    // A time that no clock counts has its own finding.
    let long = times.find(|time| time.to_f64() > LASTS_MAX_S && milliseconds(time).is_ok());
    let finding = long.map(|time| {
        let time = time.engineering(3, None);
        CHECK
            .error(format!("a proof of dead is believed for {time}"))
            .at(lasts.text.span)
            .help("write 1 h or less, or leave it out for 30 min")
    });
    finding.into_iter().collect()
}
