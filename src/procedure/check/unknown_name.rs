//! A name in a formula that is not known at that place.

use std::collections::BTreeSet;
use std::ops::Range;

use super::names::{KnownNames, walk};
use super::{Check, Subject};
use crate::diagnostic::{Finding, nearest};
use crate::procedure::Expression;
use crate::procedure::step::formula_name;

pub(super) const CHECK: Check =
    Check::new("QTY002", "unknown-name", include_str!("unknown_name.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let later = all_names(subject);
    let mut findings = Vec::new();
    walk(subject, &mut |scope, expression, _| {
        findings.extend(finding(scope, expression, &later));
    });
    findings
}

/// The names that are known at the end of the procedure or stand for something that has no value.
fn all_names(subject: &Subject<'_>) -> BTreeSet<String> {
    let procedure = subject.procedure;
    let facts = procedure.work_out.iter().map(|(name, _)| name.value.clone());
    let asked = procedure.asks.iter().map(|(name, _)| name.value.clone());
    let steps = procedure.steps().map(|(_, step)| step.formula_name());
    asked.chain(facts).chain(steps).collect()
}

fn finding(
    scope: &KnownNames,
    expression: &Expression,
    later: &BTreeSet<String>,
) -> Option<Finding> {
    let names = expression.formula().ok()?.names();
    let (name, at) = names.into_iter().find(|(name, _)| scope.find(name).is_none())?;
    let stem = name.split_once('.').map_or(name, |(stem, _)| stem);
    let message = if later.contains(stem) {
        format!("`{name}` has no value at this place")
    } else {
        format!("nothing is called `{name}`")
    };
    let found = CHECK.error(message).at(expression.place(&at));
    if let Some(meant) = dashed(expression, &at, later) {
        return Some(found.help(format!("a formula writes `-` as minus: write `{meant}`")));
    }
    Some(match nearest(name, scope.names()) {
        _ if later.contains(stem) => {
            found.help("a formula may use what stands above it and has a value")
        }
        Some(meant) => found.help(format!("did you mean `{meant}`?")),
        None => found.help("ask for it under `asks`, or work it out under `work_out`"),
    })
}

/// The name of a step or fact that a word is a piece of, as its own text writes it with dashes.
fn dashed(expression: &Expression, at: &Range<usize>, names: &BTreeSet<String>) -> Option<String> {
    let is_in_name = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
    let (before, after) = (expression.text.get(..at.start)?, expression.text.get(at.end..)?);
    let head = before.rsplit(|c| !is_in_name(c)).next().unwrap_or_default();
    let tail = after.split(|c| !is_in_name(c)).next().unwrap_or_default();
    let word = expression.text.get(at.clone())?;
    let whole = formula_name(&format!("{head}{word}{tail}"));
    (whole != word && names.contains(&whole)).then_some(whole)
}
