//! The names whose values a procedure makes use of.

use std::collections::BTreeSet;

use super::names::walk;
use super::{Subject, texts};

/// Every name that a formula or a text of the procedure uses, as formulas write it, without the part of a reading.
pub(super) fn used(subject: &Subject<'_>) -> BTreeSet<String> {
    let mut used = BTreeSet::new();
    let whole = |name: &str| name.split('.').next().unwrap_or(name).to_owned();
    walk(subject, &mut |_, expression, _| {
        let names = expression.formula().map(|formula| formula.names());
        used.extend(names.into_iter().flatten().map(|(name, _)| whole(name)));
    });
    let holds = subject.procedure.asks.iter().filter_map(|(_, ask)| ask.tolerance.as_ref());
    let names = holds
        .filter_map(|expression| expression.formula().ok())
        .flat_map(|expression| expression.names());
    used.extend(names.map(|(name, _)| whole(name)));
    texts::of_procedure(subject.procedure, &mut |text| {
        let named = text.value.split('{').skip(1).filter_map(|rest| rest.split_once('}'));
        used.extend(named.map(|(name, _)| whole(name)));
    });
    let repeated = subject.procedure.steps().flat_map(|(_, step)| step.for_each.iter().flatten());
    used.extend(repeated.map(|name| name.value.clone()));
    used
}
