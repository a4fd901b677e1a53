//! A text in which letters that run from right to left stand beside figures or Latin letters.

use super::texts::{of_bench, of_equipment, of_people, of_procedure};
use super::{Check, Subject};
use crate::diagnostic::{Finding, runs_from_the_right};
use crate::procedure::{At, BenchFile, Equipment, People, Procedure};

pub(super) const CHECK: Check = Check::new("TXT010", "turned-text", include_str!("turned_text.md"))
    .of_procedure(run)
    .of_equipment(run_equipment)
    .of_bench(run_bench)
    .of_people(run_people);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    of_procedure(subject.procedure, &mut |text| findings.extend(finding(text)));
    findings
}

fn run_equipment(_: &Procedure, equipment: &Equipment) -> Vec<Finding> {
    let mut findings = Vec::new();
    of_equipment(equipment, &mut |text| findings.extend(finding(text)));
    findings
}

fn run_bench(bench: &BenchFile) -> Vec<Finding> {
    let mut findings = Vec::new();
    of_bench(bench, &mut |text| findings.extend(finding(text)));
    findings
}

fn run_people(people: &People) -> Vec<Finding> {
    let mut findings = Vec::new();
    of_people(people, &mut |text| findings.extend(finding(text)));
    findings
}

fn finding(text: &At<String>) -> Option<Finding> {
    let is_turned = text.chars().any(runs_from_the_right);
    let is_mixed = is_turned && text.chars().any(|c| c.is_ascii_alphanumeric());
    is_mixed.then(|| {
        CHECK
            .warning("letters that run from right to left stand beside others: what is shown may stand in another order")
            .at(text.span)
            .help("put figures and units into the window or a text of their own")
    })
}
