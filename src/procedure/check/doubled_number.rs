//! Two outputs of one instrument with one number.

use std::collections::BTreeMap;

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::{BenchFile, Instrument};

pub(super) const CHECK: Check =
    Check::new("BEN017", "doubled-number", include_str!("doubled_number.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    bench.instruments.iter().flat_map(|(_, instrument)| doubled(instrument)).collect()
}

fn doubled(instrument: &Instrument) -> Vec<Finding> {
    let mut first = BTreeMap::new();
    let doubled = instrument.channels.iter().filter_map(|(name, channel)| {
        let number = &channel.number;
        let (before, span) = first.insert(number.value, (name.value.as_str(), number.span))?;
        let message =
            format!("outputs `{before}` and `{}` have the number {}", name.value, number.value);
        let found = CHECK.error(message).at(number.span).related(span, "the first one");
        Some(found.help("give each output the number that the instrument knows it by"))
    });
    doubled.collect()
}
