//! A protection that would act below the ceiling.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::BenchFile;
use crate::quantity::Dimension;

pub(super) const CHECK: Check =
    Check::new("BEN010", "low-protection", include_str!("low_protection.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let outputs = bench.instruments.iter().flat_map(|(_, instrument)| instrument.channels.iter());
    let low = outputs.flat_map(|(name, channel)| {
        let protection = channel.protection;
        let parts =
            [("over_voltage", protection.over_voltage), ("over_current", protection.over_current)];
        parts.into_iter().filter_map(move |(key, part)| {
            let part = part?;
            let fits = part.dimension == Dimension::NONE && part.to_f64() > 1.0;
            let message = format!("`{key}` of output `{}` is not above 100 %", name.value);
            let help = "write it as a part of the stage's ceiling, such as `110 %`";
            (!fits).then(|| CHECK.error(message).at(name.span).help(help))
        })
    });
    low.collect()
}
