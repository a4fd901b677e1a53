//! A ceiling that follows a reading, or a fact without a credible range: nothing says how high it may come.

use std::collections::BTreeSet;

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Expression, Procedure};

pub(super) const CHECK: Check =
    Check::new("ORD024", "ceiling-without-bound", include_str!("ceiling_without_bound.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    let free = unbounded(procedure);
    let ceilings = procedure.stages.iter().filter_map(|stage| stage.ceiling.as_ref());
    let limits = ceilings.flat_map(|ceiling| [&ceiling.voltage, &ceiling.current]);
    limits.filter_map(|limit| finding(limit, &free)).collect()
}

/// The names whose values nothing bounds: of steps, of questions without a range, and what is worked out of these.
fn unbounded(procedure: &Procedure) -> BTreeSet<String> {
    let open = procedure.asks.iter().filter(|(_, ask)| ask.between.is_none());
    let mut free: BTreeSet<String> = open.map(|(name, _)| name.value.clone()).collect();
    for (name, expression) in procedure.work_out.iter() {
        if first_of(expression, &free).is_some() {
            free.insert(name.value.clone());
        }
    }
    free.extend(procedure.steps().map(|(_, step)| step.formula_name()));
    free
}

fn finding(limit: &Expression, free: &BTreeSet<String>) -> Option<Finding> {
    let name = first_of(limit, free)?;
    Some(
        CHECK
            .error(format!("the ceiling follows `{name}`, and nothing says how high that may come"))
            .at(limit.text.span)
            .help("work it out from facts that have a credible range: `between` in `asks`"),
    )
}

fn first_of<'a>(expression: &'a Expression, free: &BTreeSet<String>) -> Option<&'a str> {
    let names = expression.formula().ok()?.names();
    let base = |name: &'a str| name.split('.').next().unwrap_or(name);
    names.into_iter().map(|(name, _)| base(name)).find(|name| free.contains(*name))
}
