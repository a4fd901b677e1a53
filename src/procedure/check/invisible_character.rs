//! A character that can't be seen or that moves the text around it.

use super::texts::{of_bench, of_equipment, of_people, of_procedure};
use super::{Check, Subject};
use crate::diagnostic::{Finding, clean_lines};
use crate::procedure::{At, BenchFile, Equipment, People, Procedure};

pub(super) const CHECK: Check =
    Check::new("TXT001", "invisible-character", include_str!("invisible_character.md"))
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
    (clean_lines(text) != text.value).then(|| {
        let hidden = text.chars().map(|c| clean_lines(c.encode_utf8(&mut [0; 4])));
        let hidden = hidden.zip(text.chars()).find(|(shown, c)| !shown.chars().eq([*c]));
        let shown = hidden.map(|(shown, _)| shown).unwrap_or_default();
        CHECK
            .error(format!("the text holds a character that can't be seen: {shown}"))
            .at(text.span)
            .help("delete it and type the text again")
    })
}
