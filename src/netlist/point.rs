//! What can be read of a circuit: a voltage, a current, the power in a part.

use std::fmt;

use super::circuit::{Netlist, is_ground};
use super::element::ElementKind;

/// A value of the circuit.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CircuitPoint {
    /// The voltage of a node against another (V).
    Voltage(String, String),
    /// The current of an element (A): of a source what it delivers from its first node, of a part from its first node into it.
    Current(String),
    /// The power that a part turns into heat (W).
    Power(String),
}

/// One number that the simulator is asked for, as it is written there.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Vector(pub String);

impl fmt::Display for Vector {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl fmt::Display for CircuitPoint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Voltage(node, other) if is_ground(other) => write!(f, "v({node})"),
            Self::Voltage(node, other) => write!(f, "v({node}, {other})"),
            Self::Current(element) => write!(f, "i({element})"),
            Self::Power(element) => write!(f, "p({element})"),
        }
    }
}

impl CircuitPoint {
    /// Reads how a point is written: `v(out)`, `v(o1, out)`, `i(Vplus)`, `p(Q7)`.
    ///
    /// # Errors
    /// What is no point, in words.
    pub fn read(text: &str) -> Result<Self, String> {
        let wrong = || {
            format!(
                "`{text}` is not a point of a circuit: write v(node), v(node, node), i(element) or p(element)"
            )
        };
        let (kind, rest) = text.trim().split_once('(').ok_or_else(wrong)?;
        let inside = rest.strip_suffix(')').ok_or_else(wrong)?.trim();
        let of = |name: &str| Some(name.trim().to_owned()).filter(|name| !name.is_empty());
        let point = match kind.trim().to_ascii_lowercase().as_str() {
            "v" => {
                let (one, other) = inside.split_once(',').unwrap_or((inside, "0"));
                let node = |name: &str| of(name).map(|name| name.to_ascii_lowercase());
                node(one).zip(node(other)).map(|(one, other)| Self::Voltage(one, other))
            }
            "i" => of(inside).map(Self::Current),
            "p" => of(inside).map(Self::Power),
            _ => None,
        };
        point.ok_or_else(wrong)
    }

    /// Whether the circuit has this point.
    ///
    /// # Errors
    /// The name that is not there, or the element that has no such value, in words.
    pub fn is_in(&self, netlist: &Netlist) -> Result<(), String> {
        match self {
            Self::Voltage(one, other) => {
                let strange = [one, other].into_iter().find(|node| !netlist.has_node(node));
                strange
                    .map_or(Ok(()), |node| Err(format!("there is no node `{node}` in the netlist")))
            }
            Self::Current(name) | Self::Power(name) => {
                let found = netlist.element(name);
                let element =
                    found.ok_or_else(|| format!("there is no element `{name}` in the netlist"))?;
                let known = match self {
                    Self::Power(_) => power(element.letter),
                    _ => current(element.letter),
                };
                known.map(drop).ok_or_else(|| format!("nothing is told of this for `{name}`"))
            }
        }
    }

    /// What the simulator is asked for, with the sign that each counts with.
    pub(super) fn vectors(&self, netlist: &Netlist) -> Option<Vec<(f64, Vector)>> {
        let device =
            |name: &str, what: &str| Vector(format!("@{}[{what}]", name.to_ascii_lowercase()));
        let letter = |name: &str| netlist.element(name).map(|element| element.letter);
        Some(match self {
            Self::Voltage(one, other) => {
                let nodes = [(1.0, one), (-1.0, other)];
                let real = nodes.into_iter().filter(|(_, node)| !is_ground(node));
                real.map(|(sign, node)| (sign, Vector(format!("v({})", written(node))))).collect()
            }
            Self::Current(name) => match current(letter(name)?)? {
                // What flows through a source from its first node to its second is what it takes up.
                "source" => vec![(-1.0, Vector(format!("i({})", name.to_ascii_lowercase())))],
                what => vec![(1.0, device(name, what))],
            },
            Self::Power(name) => vec![(1.0, device(name, power(letter(name)?)?))],
        })
    }
}

/// What the simulator calls the current of such an element.
fn current(letter: ElementKind) -> Option<&'static str> {
    match letter {
        ElementKind::VoltageSource => Some("source"),
        ElementKind::Resistor | ElementKind::Inductor => Some("i"),
        ElementKind::Diode | ElementKind::Mosfet | ElementKind::Jfet => Some("id"),
        ElementKind::Transistor => Some("ic"),
        _ => None,
    }
}

/// What the simulator calls the power of such an element.
fn power(letter: ElementKind) -> Option<&'static str> {
    match letter {
        ElementKind::Resistor
        | ElementKind::Diode
        | ElementKind::Transistor
        | ElementKind::Mosfet
        | ElementKind::Jfet => Some("p"),
        _ => None,
    }
}

/// What the simulator takes for an operator, or for every node, wherever it stands.
const OPERATORS: [&str; 13] =
    ["and", "or", "not", "eq", "ne", "gt", "lt", "ge", "le", "all", "allv", "alli", "ally"];

/// How a node is written out: what the simulator would read as a formula gets a name without a meaning.
pub(super) fn written(node: &str) -> String {
    let is_plain = node.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
    if is_plain && !OPERATORS.contains(&node) {
        return node.to_owned();
    }
    let hex = node.bytes().map(|byte| format!("{byte:02x}")).collect::<String>();
    format!("node_{hex}")
}
