//! A netlist that is not in the folder of its circuit file.

use super::Check;
use super::path_out_of_folder::is_inside;
use crate::diagnostic::Finding;
use crate::netlist::Netlist;
use crate::procedure::CircuitFile;

pub(super) const CHECK: Check =
    Check::new("CIR005", "netlist-out-of-folder", include_str!("netlist_out_of_folder.md"))
        .of_circuit(run);

fn run(file: &CircuitFile, _: Option<&Netlist>) -> Vec<Finding> {
    let netlist = &file.netlist;
    let found = (!is_inside(netlist)).then(|| {
        let message = format!("`{}` leads out of the folder of this file", netlist.value);
        CHECK.error(message).at(netlist.span).help("put the netlist beside this file")
    });
    Vec::from_iter(found)
}
