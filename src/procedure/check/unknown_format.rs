//! A file of a format that this program does not know.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::netlist::Netlist;
use crate::procedure::{AnswersFile, At, BenchFile, CircuitFile, Equipment, ModelFile, People};

pub(super) const CHECK: Check =
    Check::new("YML006", "unknown-format", include_str!("unknown_format.md"))
        .of_procedure(run)
        .of_equipment(run_equipment)
        .of_bench(run_bench)
        .of_people(run_people)
        .of_answers(run_answers)
        .of_model(run_model)
        .of_circuit(run_circuit);

/// The format that is read.
const FORMAT: u32 = 1;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    findings(&subject.procedure.format)
}

fn run_equipment(equipment: &Equipment) -> Vec<Finding> {
    findings(&equipment.format)
}

fn run_bench(bench: &BenchFile) -> Vec<Finding> {
    findings(&bench.format)
}

fn run_people(people: &People) -> Vec<Finding> {
    findings(&people.format)
}

fn run_answers(answers: &AnswersFile) -> Vec<Finding> {
    findings(&answers.format)
}

fn run_model(model: &ModelFile) -> Vec<Finding> {
    findings(&model.format)
}

fn run_circuit(file: &CircuitFile, _: Option<&Netlist>) -> Vec<Finding> {
    findings(&file.format)
}

fn findings(format: &At<u32>) -> Vec<Finding> {
    if format.value == FORMAT {
        return Vec::new();
    }
    let message = format!("this program reads format {FORMAT}, and the file says {}", format.value);
    let found = CHECK.error(message).at(format.span);
    vec![found.help(
        "use the program that the file was written for, or write `format: 1` if it is a slip",
    )]
}
