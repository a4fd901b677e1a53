//! A reading under the guarded rule that names no meter.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Acceptance, DecisionRule, Step};

pub(super) const CHECK: Check =
    Check::new("WIN008", "guarded-without-meter", include_str!("guarded_without_meter.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let rule = subject.procedure.decision_rule.as_ref();
    let Some(rule) = rule.filter(|rule| rule.value == DecisionRule::Guarded) else {
        return Vec::new();
    };
    let steps = subject.procedure.steps().filter(|(_, step)| is_judged_without_meter(step));
    steps
        .map(|(_, step)| {
            CHECK
                .error("this reading is judged by the guarded rule, and no meter is named for it")
                .at(step.step.span)
                .related(rule.span, "the rule")
                .help("add `function:` with the name of the meter's function, or record it only")
        })
        .collect()
}

fn is_judged_without_meter(step: &Step) -> bool {
    let is_judged = |window: &Option<Acceptance>| {
        window.as_ref().is_some_and(|acceptance| !acceptance.is_record_only())
    };
    let read = step
        .read
        .as_ref()
        .is_some_and(|reading| reading.function.is_none() && is_judged(&reading.window));
    let watch = step
        .watch
        .as_ref()
        .is_some_and(|watch| watch.function.is_none() && is_judged(&watch.window));
    read || watch
}
