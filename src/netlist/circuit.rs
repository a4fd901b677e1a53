//! A circuit, element by element.

use std::collections::BTreeSet;

use super::element::Element;

/// A netlist in which every line was understood.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Netlist {
    /// The elements outside of subcircuits, in order.
    pub(super) elements: Vec<Element>,
    /// The subcircuits, in order.
    pub(super) subcircuits: Vec<Subcircuit>,
    /// The lines that hold for the whole circuit: models, parameters, tolerances of the solver.
    pub(super) cards: Vec<String>,
    /// Whether one of the lines sets tolerances of the solver.
    pub(super) has_options: bool,
}

/// A piece of circuit that elements can stand for.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Subcircuit {
    /// Its name, in small letters.
    pub(super) name: String,
    /// The first line as it is written out.
    pub(super) head: String,
    pub(super) elements: Vec<Element>,
    pub(super) cards: Vec<String>,
}

impl Netlist {
    /// The elements outside of subcircuits, in order.
    pub fn elements(&self) -> impl Iterator<Item = &Element> {
        self.elements.iter()
    }

    /// The element of a name, outside of subcircuits.
    #[must_use]
    pub fn element(&self, name: &str) -> Option<&Element> {
        self.elements.get(place_of(&self.elements, name)?)
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
        is_ground(&name)
            || self.elements.iter().flat_map(|element| &element.nodes).any(|node| *node == name)
    }
}

/// The place of the element of this name. The simulator knows no capital letters, so neither does this.
pub(super) fn place_of(elements: &[Element], name: &str) -> Option<usize> {
    elements.iter().position(|element| element.name.eq_ignore_ascii_case(name))
}

/// Whether a node is the one that all voltages count from.
#[must_use]
pub fn is_ground(node: &str) -> bool {
    node == "0" || node == "gnd"
}
