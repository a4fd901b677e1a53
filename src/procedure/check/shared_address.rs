//! Two instruments at one address.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::{Address, At, BenchFile};

pub(super) const CHECK: Check =
    Check::new("BEN012", "shared-address", include_str!("shared_address.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let mut before: Vec<&At<Address>> = Vec::new();
    let mut findings = Vec::new();
    for (_, instrument) in bench.instruments.iter() {
        let Some(connection) = &instrument.connection else { continue };
        let address = &connection.address;
        if let Some(first) = before.iter().find(|first| first.value == address.value) {
            let message = format!("two instruments are reached at {}", address.value);
            let found = CHECK.error(message).at(address.span).related(first.span, "the first one");
            findings
                .push(found.help("describe it as one instrument, or mend one of the addresses"));
        }
        before.push(address);
    }
    findings
}
