//! A condition or a loop that stands in a step's words, where no answer and no window can follow it.

use super::words::{told, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Step};

pub(super) const CHECK: Check =
    Check::new("TXT004", "condition-in-text", include_str!("condition_in_text.md"))
        .of_procedure(run);

/// Words that leave it to the person whether or how often something is done.
const CONDITIONS: &[&str] = &[
    "if",
    "unless",
    "otherwise",
    "repeat",
    "repeatedly",
    "retry",
    "as needed",
    "as necessary",
    "in case",
    "skip",
    "skipped",
    "omit",
    "omitted",
    "optional",
    "optionally",
    "preferably",
    "time allows",
    "time permits",
    "if possible",
    "where possible",
    "at will",
];

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let steps = subject.procedure.steps().filter(|(_, step)| step.note.is_none());
    steps.filter_map(|(_, step)| finding(step, told(step)?)).collect()
}

fn finding(step: &Step, text: &At<String>) -> Option<Finding> {
    let words = condition(text).or_else(|| {
        // "When the lamp is dark, plug it in": what a person waits for is a look of its own.
        let first = words(text).first()?.low.clone();
        (step.r#do.is_some() && first == "when").then_some("when")
    })?;
    Some(
        CHECK
            .warning(format!("\"{words}\" leaves a decision to the reader, and the record says nothing of it"))
            .at(text.span)
            .help("ask with `look` or judge with `read`: a bad answer or a value outside stops, and a hint says what comes next"),
    )
}

fn condition(text: &str) -> Option<&'static str> {
    let words = words(text);
    CONDITIONS.iter().copied().find(|condition| {
        let parts: Vec<&str> = condition.split(' ').collect();
        words
            .windows(parts.len())
            .any(|run| run.iter().map(|word| word.low.as_str()).eq(parts.iter().copied()))
    })
}
