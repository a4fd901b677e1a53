//! A line of a netlist that is not taken.

use super::Check;
use crate::diagnostic::Finding;
use crate::netlist::{Netlist, NetlistError};

pub(super) const CHECK: Check =
    Check::new("CIR001", "unreadable-netlist", include_str!("unreadable_netlist.md"));

/// Reads the netlist of a circuit file.
///
/// # Errors
/// The first line that is not taken; the finding points into the netlist.
pub fn read_netlist(text: &str) -> Result<Netlist, Finding> {
    Netlist::read(text).map_err(|NetlistError { span, message, help }| {
        let found = CHECK.error(message).at(span);
        help.into_iter().fold(found, Finding::help)
    })
}
