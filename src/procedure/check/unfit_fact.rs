//! A fact of the equipment that is no answer to the question.

use super::trial::answers;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Ask, At, Equipment, Procedure, parts};

pub(super) const CHECK: Check =
    Check::new("QTY006", "unfit-fact", include_str!("unfit_fact.md")).of_facts(run);

fn run(procedure: &Procedure, equipment: &Equipment) -> Vec<Finding> {
    let answers = answers(&Subject::new(procedure, Some(equipment), None));
    let asks = procedure.asks.iter();
    asks.filter_map(|(name, ask)| {
        if ask.parts {
            return unfit_list(name, equipment);
        }
        let fact = equipment.facts.get(name);
        let refused = fact.and_then(|fact| {
            let refused = ask.take(fact, &|name: &str| answers.named(name)).err()?;
            Some(finding(name, ask, &refused.to_string()).at(fact.span))
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
    let (fact, list) = listed(name, equipment)?;
    let refused = match list.is_empty() {
        true => "the list is empty".to_owned(),
        false => parts(list.iter().map(|part| part.value.as_str())).err()?.to_string(),
    };
    Some(CHECK.error(format!("`{}`: {refused}", name.value)).at(fact.span))
}

/// A list where a value is asked for.
fn listed_value(name: &At<String>, ask: &Ask, equipment: &Equipment) -> Option<Finding> {
    let (fact, _) = listed(name, equipment)?;
    Some(finding(name, ask, "a value is needed here, not a list of parts").at(fact.span))
}

fn finding(name: &At<String>, ask: &Ask, refused: &str) -> Finding {
    CHECK
        .error(format!("`{}`: {refused}", name.value))
        .help(format!("the procedure asks: {}", ask.ask.value))
}

fn listed<'a>(
    name: &str,
    equipment: &'a Equipment,
) -> Option<(&'a At<String>, &'a Vec<At<String>>)> {
    equipment.parts.iter().find(|(part, _)| part.value == name)
}
