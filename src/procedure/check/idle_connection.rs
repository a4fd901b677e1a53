//! A connected instrument that can do nothing.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::{BenchFile, Role};

pub(super) const CHECK: Check =
    Check::new("BEN009", "idle-connection", include_str!("idle_connection.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let idle = bench.instruments.iter().filter_map(|(name, instrument)| {
        let connection = instrument.connection.as_ref()?;
        let has_use = !instrument.functions.is_empty() || !instrument.channels.is_empty();
        if has_use || instrument.role == Role::MainsSwitch {
            return None;
        }
        let message =
            format!("`{}` is connected, and has neither function nor channel", name.value);
        let found = CHECK.error(message).at(connection.address.span);
        Some(found.help("add its `functions` or its `channels`, or leave the connection out"))
    });
    idle.collect()
}
