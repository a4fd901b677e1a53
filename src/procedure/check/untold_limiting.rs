//! A supply that can't tell the program when it limits the current.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::{BenchFile, Role};

pub(super) const CHECK: Check =
    Check::new("BEN006", "untold-limiting", include_str!("untold_limiting.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let supplies =
        bench.instruments.iter().filter(|(_, instrument)| instrument.role == Role::Supply);
    let untold = supplies.filter_map(|(name, instrument)| {
        let connection = instrument.connection.as_ref()?;
        if connection.dialect.constant_current.is_some() {
            return None;
        }
        let message = format!("nothing says how `{}` tells that it limits the current", name.value);
        let found = CHECK.warning(message).at(name.span);
        Some(
            found.help("add `constant_current` to its dialect, and prove it with `wattstep bench`"),
        )
    });
    untold.collect()
}
