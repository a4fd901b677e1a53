//! A name that stands for two things.

use std::collections::BTreeMap;

use super::{Check, Subject};
use crate::diagnostic::{Finding, Span};
use crate::procedure::At;
use crate::procedure::step::formula_name;

pub(super) const CHECK: Check =
    Check::new("QTY004", "doubled-name", include_str!("doubled_name.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    let asks = procedure.asks.iter().map(|(name, _)| (name, "a question"));
    let facts = procedure.work_out.iter().map(|(name, _)| (name, "a value worked out"));
    let stages = procedure.stages.iter().map(|stage| (&stage.stage, "a stage"));
    let steps = procedure.steps().map(|(_, step)| (&step.step, "a step"));
    doubled(asks.chain(facts).chain(stages).chain(steps))
}

/// Names are compared as formulas write them; stages too, because their notices are answered under their names.
fn doubled<'a>(names: impl Iterator<Item = (&'a At<String>, &'static str)>) -> Vec<Finding> {
    let mut seen: BTreeMap<String, (Span, &str)> = BTreeMap::new();
    let mut findings = Vec::new();
    for (name, what) in names {
        let Some((span, earlier)) = seen.insert(formula_name(name), (name.span, what)) else {
            continue;
        };
        let message = format!("`{}` is the name of {what} and of {earlier}", name.value);
        let help = "give one of them another name; `-` and `_` count as the same";
        findings.push(CHECK.error(message).at(name.span).related(span, "the first one").help(help));
    }
    findings
}
