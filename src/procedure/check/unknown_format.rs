//! A file of a format that this program does not know.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, BenchFile, Equipment, People, Procedure};

pub(super) const CHECK: Check =
    Check::new("YML006", "unknown-format", include_str!("unknown_format.md"))
        .of_procedure(run)
        .of_equipment(run_equipment)
        .of_bench(run_bench)
        .of_people(run_people);

/// The format that is read.
const FORMAT: u32 = 1;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    finding(&subject.procedure.format).into_iter().collect()
}

fn run_equipment(_: &Procedure, equipment: &Equipment) -> Vec<Finding> {
    finding(&equipment.format).into_iter().collect()
}

fn run_bench(bench: &BenchFile) -> Vec<Finding> {
    finding(&bench.format).into_iter().collect()
}

fn run_people(people: &People) -> Vec<Finding> {
    finding(&people.format).into_iter().collect()
}

fn finding(format: &At<u32>) -> Option<Finding> {
    (format.value != FORMAT).then(|| {
        CHECK
            .error(format!("this program reads format {FORMAT}, and the file says {}", format.value))
            .at(format.span)
            .help("use the program that the file was written for, or write `format: 1` if it is a slip")
    })
}
