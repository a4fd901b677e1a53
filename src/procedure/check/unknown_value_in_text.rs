//! A name in braces, in a text, that stands for no value.

use std::collections::BTreeSet;

use super::{Check, Subject, texts};
use crate::diagnostic::{Finding, Span, nearest};
use crate::procedure::At;
use crate::procedure::step::Kind;

pub(super) const CHECK: Check =
    Check::new("TXT003", "unknown-value-in-text", include_str!("unknown_value_in_text.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let known = values(subject);
    let mut findings = Vec::new();
    texts::of_procedure(subject.procedure, &mut |text| findings.extend(finding(text, &known)));
    findings
}

/// The names that have one value: facts that are no lists, worked-out values, readings of steps, and the stage's ceiling.
fn values<'a>(subject: &Subject<'a>) -> BTreeSet<String> {
    let procedure: &'a _ = subject.procedure;
    let asked = procedure.asks.iter().filter(|(_, ask)| ask.is_value());
    let asked = asked.map(|(name, _)| name.value.clone());
    let worked_out = procedure.work_out.iter().map(|(name, _)| name.value.clone());
    let steps = procedure.steps().map(|(_, step)| step);
    let read = steps.filter(|step| step.kind().and_then(Kind::gives).is_some());
    let read = read.filter(|step| step.for_each.is_none()).map(|step| step.formula_name());
    let ceiling = ["ceiling.voltage", "ceiling.current"].map(str::to_owned);
    asked.chain(ceiling).chain(worked_out).chain(read).collect()
}

fn finding(text: &At<String>, known: &BTreeSet<String>) -> Option<Finding> {
    let (_, rest) = text.value.split_once('{')?;
    let names = std::iter::once(rest).chain(rest.split('{').skip(1));
    let mut names = names.filter_map(|rest| rest.split_once('}').map(|(name, _)| name));
    let name = names.find(|name| !known.contains(*name))?;
    let found = CHECK
        .error(format!("`{{{name}}}` stands for no value"))
        .at(Span { start: text.span.start, end: text.span.end });
    Some(match nearest(name, known.iter().map(String::as_str)) {
        Some(meant) => found.help(format!("did you mean `{{{meant}}}`?")),
        None => found.help("name a fact, a worked-out value or a reading, or leave the braces out"),
    })
}
