//! Two outputs of one name.

use std::collections::BTreeMap;

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::BenchFile;

pub(super) const CHECK: Check =
    Check::new("BEN001", "doubled-output", include_str!("doubled_output.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let mut first = BTreeMap::new();
    let outputs = bench.instruments.iter().flat_map(|(_, instrument)| instrument.channels.iter());
    let doubled =
        outputs.filter_map(|(name, _)| {
            let before = first.insert(name.value.as_str(), name.span)?;
            let message = format!("two outputs have the name `{}`", name.value);
            let found = CHECK.error(message).at(name.span).related(before, "the first one");
            Some(found.help(
                "give one of them another name: a procedure must not switch on the wrong one",
            ))
        });
    doubled.collect()
}
