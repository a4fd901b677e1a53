//! A case as the simulator gets it: the circuit, its sources as they are set, and what is asked for.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::sync::Arc;

use super::circuit::Netlist;
use super::element::{Element, ElementKind};
use super::point::{CircuitPoint, Vector, written};

/// How a source of the netlist is fed in a case.
#[derive(Clone, Debug, PartialEq)]
pub struct SourceFeed {
    /// The voltage source in the netlist that stands for it.
    pub element: String,
    /// How.
    pub feeding: FeedState,
}

/// What stands in the place of a voltage source.
#[derive(Clone, Debug, PartialEq)]
pub enum FeedState {
    /// Nothing is connected.
    Off,
    /// A voltage (V) behind a resistance (ohm).
    Stiff {
        /// The voltage.
        volts: f64,
        /// The resistance.
        ohm: f64,
    },
    /// A bench supply: a voltage (V) that gives way once its current limit (A) is reached.
    Limited {
        /// The voltage.
        volts: f64,
        /// The limit.
        amps: f64,
    },
    /// A voltage that follows what is drawn.
    Curve(FeedCurve),
}

/// The voltage of a source over the current that is drawn from it, in straight lines.
#[derive(Clone, Debug, PartialEq)]
pub struct FeedCurve(Arc<[CurvePoint]>);

/// A point of such a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvePoint {
    /// What is drawn (A).
    pub amps: f64,
    /// The voltage then (V).
    pub volts: f64,
}

impl FeedCurve {
    /// A curve through points; none where they are fewer than two, are no numbers, or where one has no more current than that before
    /// it or more volts: no source gains by being loaded.
    #[must_use]
    pub fn new(points: &[CurvePoint]) -> Option<Self> {
        let is_number = |point: &CurvePoint| point.amps.is_finite() && point.volts.is_finite();
        let falls = points.windows(2).all(|pair| match pair {
            [one, other] => other.amps > one.amps && other.volts <= one.volts,
            _ => false,
        });
        let is_sound = points.len() >= 2 && points.iter().all(is_number) && falls;
        is_sound.then(|| Self(points.into()))
    }

    /// Its points, from the least current on.
    #[must_use]
    pub fn points(&self) -> &[CurvePoint] {
        &self.0
    }

    /// How the simulator is told of it: by the current `i(name)`, which counts into the source.
    fn formula(&self, name: &str) -> String {
        let pairs: Vec<_> =
            self.0.iter().map(|point| format!("{:e},{:e}", point.amps, point.volts)).collect();
        format!("pwl(-i({name}),{})", pairs.join(","))
    }
}

/// One operating point that is asked for.
#[derive(Clone, Debug)]
pub struct Case {
    /// What it is called in messages.
    pub name: String,
    /// The circuit.
    pub netlist: Netlist,
    /// How its sources are fed; those that are not named stay as the netlist has them.
    pub feeds: Vec<SourceFeed>,
    /// What is asked for.
    pub points: Vec<CircuitPoint>,
}

/// The word before each mark in what the simulator prints.
pub const MARK: &str = "wattstep-case";

/// The knee of a bench supply between constant voltage and constant current: about 25 mV at 30 mA.
const KNEE: &str = "D(is=1e-9 n=0.05 rs=1m)";

/// What is left of a connection that is not made (ohm).
const UNCONNECTED_OHM: f64 = 1e9;

/// Settings of the solver where the netlist has none: tight enough for microamperes, patient enough for a circuit with a fault.
const OPTIONS: &str = ".options reltol=1e-3 abstol=1e-10 gmin=1e-11 itl1=500 itl2=200";

impl Case {
    /// Every number that has to be asked for, each once.
    #[must_use]
    pub fn vectors(&self) -> BTreeSet<Vector> {
        let points = self.points.iter().filter_map(|point| point.vectors(&self.netlist));
        points.flatten().map(|(_, vector)| vector).collect()
    }

    /// The value of a point, from the numbers that came back.
    pub fn value(
        &self,
        point: &CircuitPoint,
        number: impl Fn(&Vector) -> Option<f64>,
    ) -> Option<f64> {
        let vectors = point.vectors(&self.netlist)?;
        let sum: f64 = vectors
            .iter()
            .map(|(sign, vector)| Some(sign * number(vector)?))
            .sum::<Option<f64>>()?;
        let CircuitPoint::Current(name) = point else { return Some(sum) };
        let fed = self.feeds.iter().find(|feed| feed.element.eq_ignore_ascii_case(name));
        Some(match fed.map(|feed| &feed.feeding) {
            // What the current source gives and the voltage source takes up again never reaches the circuit.
            Some(FeedState::Limited { amps, .. }) => amps + sum,
            Some(FeedState::Off) => 0.0,
            Some(FeedState::Stiff { .. } | FeedState::Curve(_)) | None => sum,
        })
    }
}

/// The text of a case.
#[must_use]
pub fn deck(case: &Case) -> String {
    let Case { netlist, feeds, .. } = case;
    let mut text = "* a case\n".to_owned();
    let mut put = |line: &str| {
        text.push_str(line);
        text.push('\n');
    };
    if !netlist.has_options {
        put(OPTIONS);
    }
    netlist.cards.iter().for_each(|card| put(card));
    for subcircuit in &netlist.subcircuits {
        put(&subcircuit.head);
        subcircuit.cards.iter().for_each(|card| put(card));
        subcircuit.elements.iter().for_each(|element| put(&element.line(written)));
        put(".ends");
    }
    let knee = netlist.free_model("feedknee");
    if feeds.iter().any(|feed| matches!(feed.feeding, FeedState::Limited { .. })) {
        put(&format!(".model {knee} {KNEE}"));
    }
    for element in &netlist.elements {
        let feed = feeds.iter().position(|feed| feed.element.eq_ignore_ascii_case(&element.name));
        match feed.and_then(|at| Some((at, feeds.get(at)?))) {
            Some((at, feed)) => put(&fed(netlist, element, &feed.feeding, at, &knee)),
            None => put(&element.line(written)),
        }
    }
    put(".end");
    text
}

/// The lines in the place of a source.
fn fed(netlist: &Netlist, element: &Element, feeding: &FeedState, at: usize, knee: &str) -> String {
    let node = |at: usize| element.nodes.get(at).map(|node| written(node)).unwrap_or_default();
    let (plus, minus, name) = (node(0), node(1), &element.name);
    let free = |letter: char| netlist.free_element_of_feed(letter, at);
    let inner = netlist.free_node_of_feed(at);
    let mut text = String::new();
    // A source keeps its name, so that its current can be asked for.
    let put = match feeding {
        FeedState::Off => write!(
            text,
            "{name} {inner} {minus} 0\n{} {inner} {plus} {UNCONNECTED_OHM:e}",
            free('R')
        ),
        FeedState::Stiff { volts, ohm } if *ohm > 0.0 => {
            write!(text, "{name} {inner} {minus} {volts:e}\n{} {inner} {plus} {ohm:e}", free('R'))
        }
        FeedState::Stiff { volts, .. } => write!(text, "{name} {plus} {minus} {volts:e}"),
        FeedState::Limited { volts, amps } => write!(
            text,
            "{} {minus} {plus} {amps:e}\n{} {plus} {inner} {knee}\n{name} {inner} {minus} {volts:e}",
            free('I'),
            free('D')
        ),
        FeedState::Curve(curve) => write!(
            text,
            "{name} {inner} {minus} 0\n{} {plus} {inner} V={}",
            free('B'),
            curve.formula(name)
        ),
    };
    // Writing into a string can't fail.
    put.map_or_else(|_| String::new(), |()| text)
}

impl Netlist {
    /// A name that no model has.
    fn free_model(&self, begin: &str) -> String {
        let mut name = begin.to_owned();
        while self.cards.iter().any(|card| card.to_ascii_lowercase().contains(&name)) {
            name.push('_');
        }
        name
    }

    /// The name of an element that stands beside a source.
    pub(super) fn free_element_of_feed(&self, letter: char, at: usize) -> String {
        self.free_name(&format!("{letter}feed{at}"))
    }

    /// A node of a source's own that the netlist does not have.
    fn free_node_of_feed(&self, at: usize) -> String {
        let mut name = format!("feed{at}");
        while self.has_node(&name) {
            name.push('_');
        }
        name
    }

    /// Whether an element can stand for a source.
    #[must_use]
    pub fn is_source(&self, name: &str) -> bool {
        self.element(name).is_some_and(|element| element.letter == ElementKind::VoltageSource)
    }
}
