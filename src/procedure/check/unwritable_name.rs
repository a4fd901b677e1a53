//! A name that a formula or a key can't be written with.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::formula::WORDS;
use crate::procedure::At;
use crate::record::{Key, Matter};

pub(super) const CHECK: Check =
    Check::new("QTY005", "unwritable-name", include_str!("unwritable_name.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    let asks = procedure.asks.iter().map(|(name, _)| name);
    let offers = procedure.asks.iter().filter_map(|(_, ask)| ask.offer.as_ref());
    let inputs = offers.flat_map(|offer| offer.from.iter()).map(|(name, _)| name);
    let facts = procedure.work_out.iter().map(|(name, _)| name);
    let points = procedure.charge_points.iter().map(|(name, _)| name);
    let stages = procedure.stages.iter().map(|stage| &stage.stage);
    let steps = procedure.steps().map(|(_, step)| &step.step);
    let in_formulas = asks.chain(inputs).chain(facts).filter_map(|name| unwritable(name, "_"));
    let in_keys = points.filter_map(|name| unwritable(name, "_-").or_else(|| of_the_proof(name)));
    let parts = procedure.steps().flat_map(|(_, step)| step.for_each.iter().flatten());
    let parts = parts.filter_map(matter);
    let first_in_keys =
        stages.chain(steps).filter_map(|name| unwritable(name, "_-").or_else(|| taken(name)));
    in_formulas.chain(in_keys).chain(first_in_keys).chain(parts).collect()
}

fn unwritable(name: &At<String>, signs: &str) -> Option<Finding> {
    if WORDS.contains(&name.value.as_str()) {
        let finding = CHECK.error(format!("`{}` is a word of formulas", name.value));
        return Some(finding.at(name.span).help("choose another name"));
    }
    let starts_well = name.starts_with(|c: char| c.is_ascii_alphabetic());
    let goes_on_well = name.chars().all(|c| c.is_ascii_alphanumeric() || signs.contains(c));
    if starts_well && goes_on_well {
        return None;
    }
    let signs = if signs == "_" { "and _" } else { "- and _" };
    Some(
        CHECK
            .error(format!("`{}` can't be a name here", name.value))
            .at(name.span)
            .help(format!("a name starts with a letter and goes on with letters, digits {signs}")),
    )
}

fn taken(name: &At<String>) -> Option<Finding> {
    Key::is_of_the_run(name).then(|| {
        let name_of = format!("the run itself asks questions under the name `{}`", name.value);
        reserved(name, name_of)
    })
}

fn of_the_proof(name: &At<String>) -> Option<Finding> {
    Key::is_of_the_proof(name).then(|| {
        let other = format!("`dead.{}` is another question of a proof of dead", name.value);
        reserved(name, other)
    })
}

fn matter(name: &At<String>) -> Option<Finding> {
    Matter::is_word(name).then(|| {
        let what = format!("`{}` says in an answers file what is asked about a step", name.value);
        reserved(name, what)
    })
}

fn reserved(name: &At<String>, why: String) -> Finding {
    CHECK.error(why).at(name.span).help("choose another name")
}
