//! A question about a hazard with no answer, or with two.

use super::wrong_signal_word::notices;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::Confirm;

pub(super) const CHECK: Check = Check::new(
    "HAZ005",
    "confirm-without-one-answer",
    include_str!("confirm_without_one_answer.md"),
)
.of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let confirms = notices(subject.procedure).filter_map(|hazard| hazard.confirm.as_ref());
    confirms.filter_map(finding).collect()
}

fn finding(confirm: &Confirm) -> Option<Finding> {
    let message = match (&confirm.voltage, &confirm.word) {
        (Some(_), Some(_)) => "the question has two answers",
        (None, None) => "the question has no answer",
        (None, Some(word)) if word.trim().is_empty() => "an empty word confirms nothing",
        _ => return None,
    };
    let help = "write either `voltage`, taken within 10 %, or `word`";
    Some(CHECK.error(message).at(confirm.ask.span).help(help))
}
