//! A fact of the equipment that the procedure does not ask for.

use super::Check;
use crate::diagnostic::{Finding, nearest};
use crate::procedure::{At, Equipment, Procedure};

pub(super) const CHECK: Check =
    Check::new("QTY007", "unasked-fact", include_str!("unasked_fact.md")).of_facts(run);

fn run(procedure: &Procedure, equipment: &Equipment) -> Vec<Finding> {
    let facts = equipment.facts.iter().map(|(name, _)| name);
    let lists = equipment.parts.iter().map(|(name, _)| name);
    facts.chain(lists).filter_map(|name| finding(name, procedure)).collect()
}

fn finding(name: &At<String>, procedure: &Procedure) -> Option<Finding> {
    if procedure.asks.get(name).is_some() {
        return None;
    }
    let found =
        CHECK.warning(format!("the procedure does not ask for `{}`", name.value)).at(name.span);
    let asked = procedure.asks.iter().map(|(asked, _)| asked.value.as_str());
    Some(match nearest(name, asked) {
        Some(meant) => found.help(format!("did you mean `{meant}`?")),
        None => found.help("leave it in if another procedure uses it"),
    })
}
