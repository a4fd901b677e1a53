//! Outputs of what is not a supply.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::{BenchFile, Role};

pub(super) const CHECK: Check =
    Check::new("BEN013", "channels-without-supply", include_str!("channels_without_supply.md"))
        .of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let feeds = |role: Role| matches!(role, Role::Supply | Role::MainsSwitch);
    let others = bench.instruments.iter().filter(|(_, instrument)| !feeds(instrument.role));
    let others = others.filter_map(|(name, instrument)| {
        let (channel, _) = instrument.channels.iter().next()?;
        let message =
            format!("`{}` has channels, and is neither a supply nor a mains switch", name.value);
        Some(
            CHECK
                .error(message)
                .at(channel.span)
                .help("add `role: supply` or `role: mains-switch`"),
        )
    });
    others.collect()
}
