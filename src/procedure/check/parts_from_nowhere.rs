//! A step that is to be repeated for parts that nothing names.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Step, parts};

pub(super) const CHECK: Check =
    Check::new("YML008", "parts-from-nowhere", include_str!("parts_from_nowhere.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let steps = subject.procedure.steps();
    steps.filter_map(|(_, step)| finding(step, step.for_each.as_deref()?, subject)).collect()
}

fn finding(step: &Step, written: &[At<String>], subject: &Subject<'_>) -> Option<Finding> {
    let Some(first) = written.first() else {
        return Some(CHECK.error("`for_each` names no part").at(step.step.span));
    };
    let asks = &subject.procedure.asks;
    let value = written.iter().find(|name| asks.get(name).is_some_and(|ask| !ask.parts));
    if let Some(name) = value {
        let message = format!("`{}` is asked for as a value, not as a list of parts", name.value);
        let help = "add `parts: true` to the question, or name the parts here";
        return Some(CHECK.error(message).at(name.span).help(help));
    }
    let refused = parts(written.iter().map(|part| part.value.as_str())).err()?;
    Some(CHECK.error(refused.to_string()).at(first.span))
}
