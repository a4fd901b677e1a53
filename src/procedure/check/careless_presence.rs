//! Presence that is asked for too seldom to mean anything, or so often that it is answered in one's sleep.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::Expression;
use crate::quantity::Dimension;

pub(super) const CHECK: Check =
    Check::new("ORD016", "careless-presence", include_str!("careless_presence.md"))
        .of_procedure(run);

/// The shortest and the longest sensible time (s).
const SENSIBLE_S: std::ops::RangeInclusive<f64> = 60.0..=1800.0;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let every = subject.procedure.presence_every.iter();
    every
        .filter_map(|every| subject.trials().iter().find_map(|trial| finding(every, trial)))
        .collect()
}

fn finding(every: &Expression, trial: &Trial) -> Option<Finding> {
    let time = trial.value(every).filter(|time| time.dimension == Dimension::TIME)?;
    (!SENSIBLE_S.contains(&time.to_f64())).then(|| {
        let time = time.engineering(3, None);
        let found = CHECK.warning(format!("presence is confirmed every {time}"));
        found
            .at(every.text.span)
            .help("write a time from 1 min to 30 min, or leave it out for 10 min")
    })
}
