//! A control that is turned for something without ends, or at a question where it is not set.

use super::Check;
use crate::diagnostic::Finding;
use crate::netlist::Netlist;
use crate::procedure::CircuitFile;

pub(super) const CHECK: Check =
    Check::new("CIR007", "aimless-control", include_str!("aimless_control.md")).of_circuit(run);

fn run(file: &CircuitFile, _: Option<&Netlist>) -> Vec<Finding> {
    let found = file.controls.iter().flat_map(|(name, control)| {
        let is_endless = control.ends.is_none() && !control.until.is_empty();
        let endless = is_endless.then(|| {
            let message = format!("nobody says how far `{}` can be turned", name.value);
            CHECK.error(message).at(name.span).help("write both ends: `ends: [1 ohm, 2 kohm]`")
        });
        let unset = control.until.iter().filter(|(key, _)| control.set.get(key).is_none());
        let unset = unset.map(|(key, _)| {
            let message = format!("`{}` is not set at `{}`", name.value, key.value);
            let help = "write under `set` where it stands in a set without tolerances";
            CHECK.error(message).at(key.span).help(help)
        });
        endless.into_iter().chain(unset)
    });
    found.collect()
}
