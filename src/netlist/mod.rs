//! A netlist as people have it from their circuit editor: read within limits, spoiled by a fault, written for the simulator.
//!
//! May use `diagnostic`. Pure: it reads and writes text, not files.
//!
//! Always true: what is written holds nothing that was not understood when it was read, so no line of a stranger reaches the
//! simulator that could open a file, run a program or never end.

mod deck;
mod element;
mod error;
mod fault;
mod fault_table;
mod limits;
mod line;
mod number;
mod point;
mod read;
mod spoil;
#[cfg(test)]
mod tests;

pub use deck::{Case, FeedState, MARK, SourceFeed, deck};
pub use element::{Element, ElementKind};
pub use error::NetlistError;
pub use fault::{Leg, PartFault, PlacedFault};
pub use fault_table::{FAULTS, PartKind};
pub use point::{CircuitPoint, Vector};

use std::collections::BTreeSet;

/// A netlist in which every line was understood.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Netlist {
    /// The elements outside of subcircuits, in order.
    elements: Vec<Element>,
    /// The subcircuits, in order.
    subcircuits: Vec<Subcircuit>,
    /// The lines that hold for the whole circuit: models, parameters, tolerances of the solver.
    cards: Vec<String>,
    /// Whether one of the lines sets tolerances of the solver.
    has_options: bool,
}

/// A piece of circuit that elements can stand for.
#[derive(Clone, Debug, Default, PartialEq)]
struct Subcircuit {
    /// Its name, in small letters.
    name: String,
    /// The first line as it is written out.
    head: String,
    elements: Vec<Element>,
    cards: Vec<String>,
}

impl Netlist {
    /// Reads a netlist.
    ///
    /// # Errors
    /// The first line that is not taken, and why.
    pub fn read(text: &str) -> Result<Self, NetlistError> {
        read::read(text)
    }

    /// The elements outside of subcircuits, in order.
    pub fn elements(&self) -> impl Iterator<Item = &Element> {
        self.elements.iter()
    }

    /// The element of a name, outside of subcircuits. The simulator knows no capital letters, so neither does this.
    #[must_use]
    pub fn element(&self, name: &str) -> Option<&Element> {
        self.elements.iter().find(|element| element.name.eq_ignore_ascii_case(name))
    }

    /// The nodes outside of subcircuits, in small letters.
    #[must_use]
    pub fn nodes(&self) -> BTreeSet<&str> {
        self.elements.iter().flat_map(|element| &element.nodes).map(String::as_str).collect()
    }

    /// Whether there is a node of this name outside of subcircuits.
    #[must_use]
    pub fn has_node(&self, name: &str) -> bool {
        let name = name.to_ascii_lowercase();
        is_ground(&name) || self.nodes().contains(name.as_str())
    }
}

/// Whether a node is the one that all voltages count from.
fn is_ground(node: &str) -> bool {
    node == "0" || node == "gnd"
}
