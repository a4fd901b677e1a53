//! Simulated instruments beside real ones.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::{Address, At, BenchFile};

pub(super) const CHECK: Check =
    Check::new("BEN019", "mixed-simulation", include_str!("mixed_simulation.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let connections =
        bench.instruments.iter().filter_map(|(_, instrument)| instrument.connection.as_ref());
    let is_simulated = |address: &&At<Address>| matches!(address.value, Address::Simulated { .. });
    let (simulated, real): (Vec<_>, Vec<_>) =
        connections.map(|connection| &connection.address).partition(is_simulated);
    let (Some(simulated), Some(real)) = (simulated.first(), real.first()) else {
        return Vec::new();
    };
    let message = format!(
        "`{}` stands on a simulated bench, and `{}` on a real one",
        simulated.value, real.value
    );
    let found = CHECK.error(message).at(simulated.span).related(real.span, "a real one");
    vec![found.help("give each instrument its real address, or rehearse with --bench simulated")]
}
