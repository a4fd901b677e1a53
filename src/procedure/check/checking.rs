//! The checks at work on a file of each kind.

use super::{CHECKS, Keys, Subject, invisible_character, texts, too_many_circuits};
use crate::diagnostic::Finding;
use crate::netlist::Netlist;
use crate::procedure::{
    AnswersFile, At, BenchFile, CircuitFile, Equipment, ModelFile, People, Procedure, yaml,
};

/// Checks a procedure; the findings are in the order of the text.
#[must_use]
pub fn check(subject: &Subject<'_>) -> Vec<Finding> {
    // Nothing is tried that would take for ever.
    let too_many = too_many_circuits::run(subject);
    if !too_many.is_empty() {
        return too_many;
    }
    let runs = CHECKS.iter().filter_map(|check| check.procedure);
    let texts = of_texts(|see| texts::of_procedure(subject.procedure, see));
    in_order(runs.flat_map(|run| run(subject)).chain(texts))
}

/// What the checks of texts find in those that are shown to them.
fn of_texts<'a>(all: impl FnOnce(&mut dyn FnMut(&'a At<String>))) -> Vec<Finding> {
    let mut findings = Vec::new();
    all(&mut |text| {
        let runs = CHECKS.iter().filter_map(|check| check.text);
        findings.extend(runs.filter_map(|run| run(text)));
    });
    findings
}

/// Looks for characters that can't be seen wherever in a file they stand, in its comments and keys as well; `found` is what was found
/// in its texts already.
#[must_use]
pub fn check_source(text: &str, found: &[Finding]) -> Vec<Finding> {
    invisible_character::in_source(text, found)
}

/// Checks an equipment file, and its facts against the questions of a procedure where there is one.
///
/// The findings point into the equipment file. A fact that is missing is none: it is asked for at the bench.
#[must_use]
pub fn check_equipment(procedure: Option<&Procedure>, equipment: &Equipment) -> Vec<Finding> {
    let alone = CHECKS.iter().filter_map(|check| check.equipment);
    let of_facts = procedure.into_iter().flat_map(|procedure| {
        let runs = CHECKS.iter().filter_map(|check| check.facts);
        runs.flat_map(move |run| run(procedure, equipment))
    });
    let texts = of_texts(|see| texts::of_equipment(equipment, see));
    in_order(alone.flat_map(|run| run(equipment)).chain(of_facts).chain(texts))
}

/// Checks a bench file by itself; the findings point into it.
#[must_use]
pub fn check_bench(bench: &BenchFile) -> Vec<Finding> {
    let runs = CHECKS.iter().filter_map(|check| check.bench);
    let texts = of_texts(|see| texts::of_bench(bench, see));
    in_order(runs.flat_map(|run| run(bench)).chain(texts))
}

/// Checks a people file, and the keys of its people where it names a file of signers; the findings point into it.
#[must_use]
pub fn check_people(people: &People, keys: Option<Keys<'_>>) -> Vec<Finding> {
    let runs = CHECKS.iter().filter_map(|check| check.people);
    let of_keys = keys.into_iter().flat_map(|keys| {
        let runs = CHECKS.iter().filter_map(|check| check.keys);
        runs.flat_map(move |run| run(people, keys))
    });
    let texts = of_texts(|see| texts::of_people(people, see));
    in_order(runs.flat_map(|run| run(people)).chain(of_keys).chain(texts))
}

/// Checks an answers file by itself; the findings point into it.
#[must_use]
pub fn check_answers(answers: &AnswersFile) -> Vec<Finding> {
    let runs = CHECKS.iter().filter_map(|check| check.answers);
    let texts = of_texts(|see| texts::of_answers(answers, see));
    in_order(runs.flat_map(|run| run(answers)).chain(texts))
}

/// Checks a model file by itself; the findings point into it.
#[must_use]
pub fn check_model(model: &ModelFile) -> Vec<Finding> {
    let runs = CHECKS.iter().filter_map(|check| check.model);
    let texts = of_texts(|see| texts::of_model(model, see));
    in_order(runs.flat_map(|run| run(model)).chain(texts))
}

/// Checks a circuit file, against its netlist where that could be read; the findings point into the circuit file.
#[must_use]
pub fn check_circuit(file: &CircuitFile, netlist: Option<&Netlist>) -> Vec<Finding> {
    let runs = CHECKS.iter().filter_map(|check| check.circuit);
    let texts = of_texts(|see| texts::of_circuit(file, see));
    in_order(runs.flat_map(|run| run(file, netlist)).chain(texts))
}

fn in_order(findings: impl Iterator<Item = Finding>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = findings.collect();
    findings.sort_by_key(|finding| finding.span.map(|span| (span.start, span.end)));
    findings
}

/// The page of a code: what is found, why it matters, a bad and a good example.
#[must_use]
pub fn page(code: &str) -> Option<&'static str> {
    all_pages().find(|(listed, ..)| *listed == code).map(|(.., page)| page)
}

/// Code, name and page of everything that can be found.
pub fn all_pages() -> impl Iterator<Item = (&'static str, &'static str, &'static str)> {
    let checks = CHECKS.iter().map(|check| (check.code, check.name, check.page));
    yaml::PAGES.into_iter().chain(checks)
}
