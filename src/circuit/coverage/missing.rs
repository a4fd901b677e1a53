//! Readings that the procedure does not take, and what they would stop.

use serde::Serialize;

use crate::circuit::model::{Circuit, State, dimension};
use crate::netlist::{CircuitPoint, ElementKind, Netlist, is_ground};
use crate::quantity::Quantity;

/// How far such a reading may be from that of the sound circuit: so much of it, and at least so many volts or amperes. Common practice,
/// no source: wider than the tolerance of parts, narrow enough to see a stage that does not work.
const WITHIN: f64 = 0.2;
const WITHIN_V: f64 = 0.05;
const WITHIN_A: f64 = 1e-3;

/// How many are named: each finds what those before it leave.
const NAMED: usize = 5;

/// A reading that the procedure does not take.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MissingReading {
    /// The stage.
    pub stage: String,
    /// The step behind which it could stand.
    pub after: String,
    /// What is read, as a point of the circuit.
    pub point: String,
    /// What the sound circuit shows, and how far from it is inside, in words.
    pub due: String,
    /// The faults that it would stop and that no step does, nor a missing reading before it.
    pub stops: Vec<String>,
}

/// A fault that no step stops, in every situation.
pub(super) struct Unseen<'a> {
    pub(super) fault: &'a str,
    pub(super) states: &'a [State<'a>],
}

/// A situation: where the procedure first comes to it.
#[derive(Debug)]
pub(super) struct Visit<'a> {
    pub(super) stage: &'a str,
    pub(super) step: &'a str,
    /// Whether the outputs of the bench supply are read there anyway.
    pub(super) is_on_outputs: bool,
}

/// What a meter could be put on: each node, each part with two legs and each junction that drives a transistor, and the sources.
pub(super) fn candidates(circuit: &Circuit) -> Vec<CircuitPoint> {
    let netlist = &circuit.netlist;
    let known: Vec<_> =
        circuit.file.points.iter().filter_map(|(_, text)| CircuitPoint::read(text).ok()).collect();
    let nodes = netlist.nodes().into_iter().filter(|node| !is_ground(node));
    let nodes = nodes.map(|node| voltage(node, "0"));
    let drops = circuit.file.parts.iter().filter_map(|(name, _)| across(netlist, name));
    let sources = circuit.file.sources.iter();
    let draws = sources.map(|(_, source)| CircuitPoint::Current(source.element.value.clone()));
    let all = nodes.chain(drops).chain(draws);
    let is_new = |point: &CircuitPoint| {
        let is_drawn = matches!(point, CircuitPoint::Current(_));
        point.is_in(netlist).is_ok() && (is_drawn || !known.contains(point))
    };
    all.filter(is_new).collect()
}

fn voltage(one: &str, other: &str) -> CircuitPoint {
    CircuitPoint::Voltage(one.to_owned(), other.to_owned())
}

/// The voltage across a part, or across the junction that drives it; none where that is the voltage of a node.
fn across(netlist: &Netlist, name: &str) -> Option<CircuitPoint> {
    let element = netlist.element(name)?;
    let legs = match element.letter {
        ElementKind::Transistor | ElementKind::Mosfet | ElementKind::Jfet => [1, 2],
        _ => [0, 1],
    };
    let [one, other] = legs.map(|leg| element.nodes.get(leg).map(String::as_str));
    let (one, other) = (one?, other?);
    (!is_ground(one) && !is_ground(other)).then(|| voltage(one, other))
}

/// The readings that would stop most of what no step stops, each with what it adds to those before it.
pub(super) fn missing(
    circuit: &Circuit,
    visits: &[Visit<'_>],
    sound: &[State<'_>],
    unseen: &[Unseen<'_>],
) -> Vec<MissingReading> {
    let points = candidates(circuit);
    let mut left: Vec<_> = unseen.iter().collect();
    let mut found = Vec::new();
    while found.len() < NAMED {
        let mut best: Option<(Vec<&str>, MissingReading)> = None;
        for (at, (visit, sound)) in visits.iter().zip(sound).enumerate() {
            for point in points.iter().filter(|point| !visit.has(point)) {
                let Some(due) = DueReading::of(point, sound) else { continue };
                let outside = |unseen: &&&Unseen<'_>| {
                    unseen.states.get(at).is_some_and(|now| due.misses(now))
                };
                let stops: Vec<_> =
                    left.iter().filter(outside).map(|unseen| unseen.fault).collect();
                let most = best.as_ref().map_or(0, |(stops, _)| stops.len());
                if stops.len() > most {
                    let reading = due.reading(visit, &stops);
                    best = Some((stops, reading));
                }
            }
        }
        let Some((stops, reading)) = best else { break };
        left.retain(|unseen| !stops.contains(&unseen.fault));
        found.push(reading);
    }
    found
}

impl Visit<'_> {
    fn has(&self, point: &CircuitPoint) -> bool {
        self.is_on_outputs && matches!(point, CircuitPoint::Current(_))
    }
}

/// What a point shows on the sound circuit.
struct DueReading<'a> {
    point: &'a CircuitPoint,
    value: f64,
    within: f64,
}

impl<'a> DueReading<'a> {
    fn of(point: &'a CircuitPoint, (case, values): &State<'_>) -> Option<Self> {
        let value = values.as_ref().ok()?.of(case, point)?;
        let least = match point {
            CircuitPoint::Current(_) => WITHIN_A,
            CircuitPoint::Voltage(..) | CircuitPoint::Power(_) => WITHIN_V,
        };
        Some(Self { point, value, within: (WITHIN * value.abs()).max(least) })
    }

    /// Whether it is outside there. What was not worked out is told elsewhere, and counts for nothing here.
    fn misses(&self, (case, values): &State<'_>) -> bool {
        let value = values.as_ref().ok().and_then(|values| values.of(case, self.point));
        value.is_some_and(|value| (value - self.value).abs() > self.within)
    }

    fn reading(&self, visit: &Visit<'_>, stops: &[&str]) -> MissingReading {
        let words = |value: f64| {
            let quantity = Quantity::from_f64(value, dimension(self.point));
            quantity.map(|value| value.engineering(3, None)).unwrap_or_default()
        };
        MissingReading {
            stage: visit.stage.to_owned(),
            after: visit.step.to_owned(),
            point: self.point.to_string(),
            due: format!("{}, {} more or less", words(self.value), words(self.within)),
            stops: stops.iter().map(|fault| (*fault).to_owned()).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

    use super::*;
    use crate::circuit::answer::{CaseError, CircuitValues, values};
    use crate::netlist::Case;
    use crate::procedure::read_circuit;

    const FILE: &str = "format: 1\ncircuit: A stage (invented)\nrehearses: base\nnetlist: stage.cir\n\
        sources: {plus: {element: V1}}\npoints: {out: v(out)}\nreadings: {seen: out}\n\
        parts: {R1: {kind: resistor, rating: 1 W}, R2: {kind: resistor, rating: 1 W}, Q1: {kind: transistor, rating: 1 W}}\n";
    const NETLIST: &str = "A stage (invented)\n.model qn NPN(is=1e-14)\nV1 vp 0 10\nR1 vp mid 1k\nR2 mid out 1k\nQ1 out b 0 qn\nR3 vp b 1meg\n";

    fn circuit() -> Circuit {
        Circuit { file: read_circuit(FILE).unwrap(), netlist: Netlist::read(NETLIST).unwrap() }
    }

    fn worked(circuit: &Circuit, mid: f64, out: f64) -> (Case, Result<CircuitValues, CaseError>) {
        let mut points = candidates(circuit);
        points.push(voltage("out", "0"));
        let netlist = circuit.netlist.clone();
        let case = Case { name: String::new(), netlist, feeds: Vec::new(), points };
        let printed =
            format!("v(vp) = 10\nv(mid) = {mid}\nv(out) = {out}\nv(b) = 0.6\ni(v1) = -0.004\n");
        let values = values(&case, &[], Some(&printed));
        (case, values)
    }

    #[test]
    fn what_is_read_already_is_no_candidate_and_a_drop_is_one() {
        let all: Vec<_> = candidates(&circuit()).iter().map(ToString::to_string).collect();
        assert_eq!(all, ["v(b)", "v(mid)", "v(vp)", "v(vp, mid)", "v(mid, out)", "i(V1)"]);
    }

    #[test]
    fn the_reading_that_stops_most_comes_first_and_the_next_only_with_what_it_adds() {
        let circuit = circuit();
        // Sound: 6 V in the middle, 2 V at the output. The first two move the middle beyond 20 %, the third the drop of R2 alone.
        let states =
            [(6.0, 2.0), (9.0, 2.0), (3.0, 2.0), (6.5, 0.5), (6.1, 2.0)].map(|(mid, out)| {
                let (case, values) = worked(&circuit, mid, out);
                (case, values)
            });
        let state: Vec<Vec<State<'_>>> =
            states.iter().map(|(case, values)| vec![(case, values)]).collect();
        let names = ["sound", "A:open", "B:open", "C:open", "D:open"];
        let unseen = |at: &[usize]| -> Vec<Unseen<'_>> {
            at.iter().map(|at| Unseen { fault: names[*at], states: &state[*at] }).collect()
        };
        let visits = [Visit { stage: "low", step: "up", is_on_outputs: true }];
        let told = missing(&circuit, &visits, &state[0], &unseen(&[1, 2, 3, 4]));
        let short: Vec<_> =
            told.iter().map(|reading| (reading.point.as_str(), reading.stops.join(" "))).collect();
        assert_eq!(short, [("v(mid, out)", "A:open B:open C:open".to_owned())]);
        assert_eq!((told[0].stage.as_str(), told[0].after.as_str()), ("low", "up"));
        assert_eq!(told[0].due, "4.00 V, 800 mV more or less");
        let told = missing(&circuit, &visits, &state[0], &unseen(&[4]));
        assert!(told.is_empty(), "a shift within the band would be found by nothing: {told:?}");
    }

    #[test]
    fn a_case_without_values_is_not_found_by_a_reading_more() {
        let circuit = circuit();
        let (case, sound) = worked(&circuit, 6.0, 2.0);
        let lost = Err(CaseError::NotDone { case: "A:open".to_owned() });
        let visits = [Visit { stage: "low", step: "up", is_on_outputs: false }];
        let states = [(&case, &lost)];
        let unseen = [Unseen { fault: "A:open", states: &states }];
        assert!(missing(&circuit, &visits, &[(&case, &sound)], &unseen).is_empty());
    }
}
