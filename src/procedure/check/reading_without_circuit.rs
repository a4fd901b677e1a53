//! A reading of a circuit file in which nothing of the circuit is read.

use super::Check;
use crate::diagnostic::Finding;
use crate::netlist::Netlist;
use crate::procedure::CircuitFile;

pub(super) const CHECK: Check =
    Check::new("CIR003", "reading-without-circuit", include_str!("reading_without_circuit.md"))
        .of_circuit(run);

fn run(file: &CircuitFile, _: Option<&Netlist>) -> Vec<Finding> {
    let without = file.readings.iter().filter(|(_, reading)| {
        let names = reading.formula().map(crate::formula::Formula::names).unwrap_or_default();
        reading.formula().is_ok() && !names.iter().any(|(name, _)| file.points.get(name).is_some())
    });
    let finding = |(key, _): (&crate::procedure::At<String>, _)| {
        let message = format!("nothing of the circuit is read at `{}`", key.value);
        let help = "use a name of `points`, or leave the reading out";
        CHECK.error(message).at(key.span).help(help)
    };
    without.map(finding).collect()
}
