//! A DANGER notice without a question.

use super::wrong_signal_word::notices;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::record::Signal;

pub(super) const CHECK: Check =
    Check::new("HAZ003", "unconfirmed-danger", include_str!("unconfirmed_danger.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    notices(subject.procedure)
        .filter(|hazard| hazard.signal.value == Signal::Danger && hazard.confirm.is_none())
        .map(|hazard| {
            CHECK
                .error("a DANGER notice needs a question that shows it was read")
                .at(hazard.signal.span)
                .help("add `confirm: {ask: ..., voltage: ...}`, or `word` in place of `voltage`")
        })
        .collect()
}
