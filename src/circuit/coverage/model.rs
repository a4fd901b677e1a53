//! The circuit of a rehearsal, and what is known of it in one state.

use std::collections::BTreeMap;

use crate::circuit::answer::{CaseError, CircuitValues};
use crate::netlist::{Case, CircuitPoint, Netlist};
use crate::procedure::CircuitFile;
use crate::quantity::Quantity;

/// A circuit file with its netlist, both without findings.
#[derive(Clone, Debug)]
pub struct Circuit {
    /// What the netlist stands for.
    pub file: CircuitFile,
    /// The netlist.
    pub netlist: Netlist,
}

/// The voltage between the two nodes of an element.
pub(super) fn terminals(circuit: &Circuit, element: &str) -> Option<CircuitPoint> {
    let element = circuit.netlist.element(element)?;
    Some(CircuitPoint::Voltage(element.nodes.first()?.clone(), element.nodes.get(1)?.clone()))
}

/// A state of the circuit: what was asked, and what came of it.
pub(super) type State<'a> = (&'a Case, &'a Result<CircuitValues, CaseError>);

/// Readings so far, by the name that formulas have for them and by part.
pub(super) type Readings = BTreeMap<String, BTreeMap<String, Quantity>>;
