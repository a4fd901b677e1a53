//! A comparison whose two sides do not rest on a reading each.

use std::collections::BTreeSet;

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::{Compare, Kind};
use crate::procedure::{Expression, Step};

pub(super) const CHECK: Check = Check::new(
    "WIN009",
    "compare-without-two-readings",
    include_str!("compare_without_two_readings.md"),
)
.of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let steps: Vec<&Step> = subject.procedure.steps().map(|(_, step)| step).collect();
    let compared = steps.iter().enumerate().filter_map(|(n, step)| {
        finding(step.compare.as_ref()?, steps.get(..n).unwrap_or_default())
    });
    compared.collect()
}

/// What is wrong with a comparison that stands behind these steps.
fn finding(compare: &Compare, before: &[&Step]) -> Option<Finding> {
    let (this, with) = (readings(&compare.this, before), readings(&compare.with, before));
    let has_its_own = |one: &BTreeSet<String>, other: &BTreeSet<String>| {
        one.iter().any(|name| !other.iter().any(|shared| overlap(name, shared)))
    };
    let (side, expression) = match (has_its_own(&this, &with), has_its_own(&with, &this)) {
        (true, true) => return None,
        (false, _) => ("this", &compare.this),
        (true, false) => ("with", &compare.with),
    };
    Some(
        CHECK
            .error(format!("`{side}` rests on no reading that the other side does not rest on"))
            .at(expression.text.span)
            .help("compare two readings that do not share the part in doubt; for a fixed value, write a `window`"),
    )
}

/// Whether two names have a reading in common: a step's own name stands for all of its parts.
fn overlap(one: &str, other: &str) -> bool {
    let part_of = |part: &str, whole: &str| {
        part.strip_prefix(whole).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
    };
    part_of(one, other) || part_of(other, one)
}

/// The readings that a formula rests on, through whatever was worked out on the way.
fn readings(expression: &Expression, before: &[&Step]) -> BTreeSet<String> {
    let names = expression.formula().map(|formula| formula.names()).unwrap_or_default();
    names.into_iter().flat_map(|(name, _)| rests_on(name, before)).collect()
}

fn rests_on(name: &str, before: &[&Step]) -> BTreeSet<String> {
    let stem = name.split('.').next().unwrap_or_default();
    let Some(n) = before.iter().position(|step| step.formula_name() == stem) else {
        return BTreeSet::new();
    };
    let (above, step) = (before.get(..n).unwrap_or_default(), before.get(n));
    match step.map(|step| (&step.work_out, &step.compare, step.kind().and_then(Kind::gives))) {
        Some((Some(work_out), ..)) => readings(&work_out.value, above),
        Some((_, Some(compare), _)) => readings(&compare.this, above),
        Some((.., Some(_))) => BTreeSet::from([name.to_owned()]),
        _ => BTreeSet::new(),
    }
}
