//! What is wrong with a circuit at once.

use crate::netlist::PlacedFault;

/// What is wrong with the circuit at once: nothing, one fault, or two.
pub type Spoiled = Vec<PlacedFault>;

/// What is wrong, in words.
pub(super) fn name_of(spoiled: &[PlacedFault]) -> String {
    spoiled.iter().map(ToString::to_string).collect::<Vec<_>>().join(" + ")
}
