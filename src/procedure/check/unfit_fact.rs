//! A fact of the equipment that is no answer to the question.

use super::trial::trials;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Ask, At, Equipment, Procedure, parts};

pub(super) const CHECK: Check =
    Check::new("QTY006", "unfit-fact", include_str!("unfit_fact.md")).of_equipment(run);

fn run(procedure: &Procedure, equipment: &Equipment) -> Vec<Finding> {
    let [trial, ..] = trials(&Subject { procedure, equipment: Some(equipment) });
    let asks = procedure.asks.iter();
    asks.filter_map(|(name, ask)| {
        if ask.parts {
            return unfit_list(name, equipment);
        }
        let fact = equipment.facts.get(name);
        let refused = fact.and_then(|fact| {
            let refused = ask.take(fact, &|name: &str| trial.named(name)).err()?;
            Some(finding(name, ask, &refused).at(fact.span))
        });
        refused.or_else(|| listed_value(name, ask, equipment))
    })
    .collect()
}

fn unfit_list(name: &At<String>, equipment: &Equipment) -> Option<Finding> {
    if let Some(fact) = equipment.facts.get(name) {
        let message = format!("`{}` is a list of parts, and here is a value", name.value);
        let help = format!("write it under `parts`, as in {}: [q1, q2]", name.value);
        return Some(CHECK.error(message).at(fact.span).help(help));
    }
    let list = equipment.parts.get(name)?;
    let refused = parts(list.iter().map(|part| part.value.as_str())).err();
    let message = match refused {
        Some(refused) => refused,
        None if list.is_empty() => format!("the list `{}` is empty", name.value),
        None => return None,
    };
    let place = list.first().map(|part| part.span);
    Some(at_list(CHECK.error(message), name, equipment, place))
}

/// A list where a value is asked for.
fn listed_value(name: &At<String>, ask: &Ask, equipment: &Equipment) -> Option<Finding> {
    equipment.parts.get(name)?;
    let found = finding(name, ask, "a value is needed here, not a list of parts");
    Some(at_list(found, name, equipment, None))
}

fn finding(name: &At<String>, ask: &Ask, refused: &str) -> Finding {
    CHECK
        .error(format!("`{}`: {refused}", name.value))
        .help(format!("the procedure asks: {}", ask.ask.value))
}

/// Points at a part of a list, or at the name of the list.
fn at_list(
    finding: Finding,
    name: &str,
    equipment: &Equipment,
    part: Option<crate::diagnostic::Span>,
) -> Finding {
    let own = equipment.parts.iter().find(|(own, _)| own.value == name);
    match part.or(own.map(|(own, _)| own.span)) {
        Some(span) => finding.at(span),
        None => finding,
    }
}
