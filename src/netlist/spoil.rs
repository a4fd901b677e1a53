//! A fault put into a netlist: as resistances, so that every case has an operating point.

use super::circuit::{Netlist, place_of};
use super::element::{Element, ElementKind};
use super::fault::{Leg, PartFault, PlacedFault};

/// What is left of an open path (ohm): nothing in a circuit of transistors, and still a path for the solver.
const OPEN_OHM: f64 = 1e9;

/// What joins the two legs of a part (ohm).
const SHORT_OHM: f64 = 10e-3;

/// What joins two legs of a transistor that has melted (ohm).
const LEGS_OHM: f64 = 50e-3;

/// What a leaky part has beside it (ohm); common practice, no source: low enough to upset a small stage.
const LEAK_OHM: f64 = 1e3;

impl Netlist {
    /// The circuit with this fault in it. The part has to stand outside of subcircuits.
    ///
    /// # Errors
    /// A part that is not there, or that can't have such a fault, in words.
    pub fn with(&self, placed: &PlacedFault) -> Result<Self, String> {
        let at = place_of(&self.elements, &placed.part);
        let Some((at, element)) = at.and_then(|at| Some((at, self.elements.get(at)?))) else {
            return Err(format!("the netlist has no element `{}`", placed.part));
        };
        let put = self
            .spoiled(element, placed.fault)
            .ok_or_else(|| format!("`{}` can't have the fault `{}`", element.name, placed.fault))?;
        let mut netlist = self.clone();
        netlist.elements.splice(at..=at, put);
        Ok(netlist)
    }

    /// What stands in the place of an element with a fault.
    fn spoiled(&self, element: &Element, fault: PartFault) -> Option<Vec<Element>> {
        let two_legs = matches!(
            element.letter,
            ElementKind::Resistor
                | ElementKind::Capacitor
                | ElementKind::Inductor
                | ElementKind::Diode
        );
        let beside = |ohm: f64| Some(vec![element.clone(), self.between(element, 0, 1, ohm)?]);
        match fault {
            PartFault::Open if two_legs => Some(vec![self.between(element, 0, 1, OPEN_OHM)?]),
            PartFault::Short if two_legs => beside(SHORT_OHM),
            PartFault::Leaky if two_legs => beside(LEAK_OHM),
            // From collector to emitter, or from drain to source.
            PartFault::Leaky => {
                has_legs(element, &[])?;
                Some(vec![element.clone(), self.between(element, 0, 2, LEAK_OHM)?])
            }
            PartFault::Value(factor) => Some(vec![element.scaled(factor)?]),
            PartFault::LegOpen(leg) => {
                has_legs(element, &[leg])?;
                self.leg_open(element, leg.place())
            }
            PartFault::LegsShort(one, other) => {
                has_legs(element, &[one, other])?;
                let joined = self.between(element, one.place(), other.place(), LEGS_OHM)?;
                Some(vec![element.clone(), joined])
            }
            PartFault::Open | PartFault::Short => None,
        }
    }

    /// The element with one leg on a node of its own, which only a very high resistance joins to where it was.
    fn leg_open(&self, element: &Element, place: usize) -> Option<Vec<Element>> {
        let loose = self.free_node();
        let mut joined = self.between(element, place, place, OPEN_OHM)?;
        let mut spoiled = element.clone();
        let was = spoiled.nodes.get(place)?.clone();
        *spoiled.nodes.get_mut(place)? = loose.clone();
        // The bulk is tied to the source inside the part, and comes loose with it.
        if place == Leg::Source.place()
            && let Some(bulk) = spoiled.nodes.get_mut(3).filter(|bulk| **bulk == was)
        {
            bulk.clone_from(&loose);
        }
        *joined.nodes.get_mut(1)? = loose;
        Some(vec![spoiled, joined])
    }

    /// A resistor between two nodes of an element.
    fn between(&self, element: &Element, one: usize, other: usize, ohm: f64) -> Option<Element> {
        let nodes = vec![element.nodes.get(one)?.clone(), element.nodes.get(other)?.clone()];
        let name = self.free_name("Rfault");
        let rest = format!("{ohm:e}");
        Some(Element { name, letter: ElementKind::Resistor, nodes, rest, span: element.span })
    }

    /// A name that no element has.
    pub(super) fn free_name(&self, begin: &str) -> String {
        let mut name = begin.to_owned();
        while self.element(&name).is_some() {
            name.push('_');
        }
        name
    }

    /// A name that no node has.
    fn free_node(&self) -> String {
        let mut name = "fault".to_owned();
        while self.has_node(&name) {
            name.push('_');
        }
        name
    }
}

/// Whether an element has these legs.
fn has_legs(element: &Element, legs: &[Leg]) -> Option<()> {
    let known: &[Leg] = match element.letter {
        ElementKind::Transistor => &[Leg::Collector, Leg::Base, Leg::Emitter],
        ElementKind::Mosfet | ElementKind::Jfet => &[Leg::Drain, Leg::Gate, Leg::Source],
        _ => return None,
    };
    legs.iter().all(|leg| known.contains(leg)).then_some(())
}
