//! A temporary item that is fitted and not removed, or removed and not fitted.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::At;

pub(super) const CHECK: Check =
    Check::new("ORD010", "item-left-fitted", include_str!("item_left_fitted.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let mut fitted: Vec<&At<String>> = Vec::new();
    let mut findings = Vec::new();
    for (_, step) in subject.procedure.steps() {
        if let Some(item) = &step.removes {
            match fitted.iter().position(|held| same(held, item)) {
                Some(n) => drop(fitted.remove(n)),
                None => findings.push(never_fitted(item)),
            }
        }
        if let Some(item) = &step.fits {
            match fitted.iter().find(|held| same(held, item)) {
                Some(held) => findings.push(fitted_twice(item, held)),
                None => fitted.push(item),
            }
        }
    }
    findings.extend(fitted.into_iter().map(left));
    findings
}

fn same(one: &str, other: &str) -> bool {
    one.trim().eq_ignore_ascii_case(other.trim())
}

fn never_fitted(item: &At<String>) -> Finding {
    CHECK
        .error(format!("`{}` is removed, and no step before fits it", item.value))
        .at(item.span)
        .help("use the same words in `fits` and in `removes`")
}

fn fitted_twice(item: &At<String>, held: &At<String>) -> Finding {
    CHECK
        .error(format!("`{}` is fitted while it is still in", item.value))
        .at(item.span)
        .related(held.span, "fitted here")
        .help("remove it first, or tell the two apart by name")
}

fn left(item: &At<String>) -> Finding {
    CHECK
        .error(format!("`{}` is still fitted at the end", item.value))
        .at(item.span)
        .help("add the step that takes it out, with `removes` and the same words")
}
