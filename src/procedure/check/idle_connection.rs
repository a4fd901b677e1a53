//! A connected instrument that can do nothing.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::{BenchFile, Role};

pub(super) const CHECK: Check =
    Check::new("BEN009", "idle-connection", include_str!("idle_connection.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let idle = bench.instruments.iter().filter_map(|(name, own)| {
        let connection = own.connection.as_ref()?;
        let has_use = !own.functions.is_empty() || !own.channels.is_empty();
        if has_use || own.role == Role::MainsSwitch {
            return None;
        }
        let message =
            format!("`{}` is connected, and has neither function nor channel", name.value);
        let found = CHECK.error(message).at(connection.address.span);
        Some(found.help("add its `functions` or its `channels`, or leave the connection out"))
    });
    idle.collect()
}
