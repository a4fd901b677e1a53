//! A tolerance that no part has, or of nothing in the circuit.

use super::Check;
use crate::diagnostic::Finding;
use crate::netlist::{Netlist, OffValue};
use crate::procedure::{At, CircuitFile, MAINS, PartTolerance};

pub(super) const CHECK: Check =
    Check::new("CIR006", "unfit-tolerance", include_str!("unfit_tolerance.md")).of_circuit(run);

fn run(file: &CircuitFile, netlist: Option<&Netlist>) -> Vec<Finding> {
    let found = file.tolerances.iter().flat_map(|(key, tolerance)| {
        let within = tolerance.share().is_none().then(|| {
            let message = format!("`{}` is no tolerance", tolerance.within.value);
            let help = "write a part of the value above 0 % and below 100 %, as in `within: 5 %`";
            CHECK.error(message).at(tolerance.within.span).help(help)
        });
        let of = netlist.and_then(|netlist| nothing_of(key, tolerance, file, netlist));
        [within, of].into_iter().flatten()
    });
    found.collect()
}

/// What a key names that is not there, or can't be off.
fn nothing_of(
    key: &At<String>,
    tolerance: &PartTolerance,
    file: &CircuitFile,
    netlist: &Netlist,
) -> Option<Finding> {
    let is_mains = key.value == MAINS;
    if is_mains == tolerance.moves.is_empty() {
        let (message, help) = if is_mains {
            ("nothing moves with the mains", "name facts: `moves: [mains, secondary]`")
        } else {
            ("`moves` belongs to `mains`", "leave it out")
        };
        return Some(CHECK.error(message).at(key.span).help(help));
    }
    if is_mains {
        return None;
    }
    let parts = file.toleranced(key, netlist);
    if parts.is_empty() {
        let message = format!("the circuit has nothing that is called `{}`", key.value);
        let help = "name a kind (`resistor`), a part (`R41`, `X2.R41`), or behind a dot a parameter of a model (`transistor.bf`)";
        return Some(CHECK.error(message).at(key.span).help(help));
    }
    let value = |part: crate::procedure::TolerancedPart| OffValue {
        element: part.element,
        parameter: part.parameter,
        factor: 1.0,
    };
    let values: Vec<_> = parts.into_iter().map(value).collect();
    netlist.off(&values).err().map(|message| CHECK.error(message).at(key.span))
}
