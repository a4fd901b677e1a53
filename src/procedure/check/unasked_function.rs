//! A function of a connected meter that the program has no question for.

use super::Check;
use crate::diagnostic::{Finding, nearest};
use crate::procedure::BenchFile;

pub(super) const CHECK: Check =
    Check::new("BEN011", "unasked-function", include_str!("unasked_function.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (name, instrument) in bench.instruments.iter() {
        let Some(connection) = &instrument.connection else { continue };
        let dialect = &connection.dialect;
        for (function, _) in
            instrument.functions.iter().filter(|(function, _)| dialect.question(function).is_none())
        {
            let message =
                format!("there is no question for `{}` of `{}`", function.value, name.value);
            let found = CHECK.error(message).at(function.span);
            findings.push(found.help("add it under `measure` in the dialect"));
        }
        let functions = || instrument.functions.iter().map(|(name, _)| name.value.as_str());
        for (function, _) in dialect.measure.iter() {
            if functions().all(|named| named != function.value) {
                let message = format!("`{}` has no function `{}`", name.value, function.value);
                let found = CHECK.error(message).at(function.span);
                findings.push(match nearest(function, functions()) {
                    Some(meant) => found.help(format!("did you mean `{meant}`?")),
                    None => found.help("add the function, or leave the question out"),
                });
            }
        }
    }
    findings
}
