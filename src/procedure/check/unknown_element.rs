//! A name in a circuit file that its netlist does not have, or has for something else.

use super::Check;
use crate::diagnostic::{Finding, nearest};
use crate::netlist::{CircuitPoint, ElementKind, Netlist, PlacedFault};
use crate::procedure::{At, CircuitFile};

pub(super) const CHECK: Check =
    Check::new("CIR002", "unknown-element", include_str!("unknown_element.md")).of_circuit(run);

fn run(file: &CircuitFile, netlist: Option<&Netlist>) -> Vec<Finding> {
    let points = file.points.iter().filter_map(|(_, text)| point(text, netlist));
    let Some(netlist) = netlist else { return points.collect() };
    let sources = file.sources.iter().filter_map(|(_, source)| {
        let is_source = netlist.is_source(&source.element);
        (!is_source).then(|| missing(&source.element, "voltage source", netlist))
    });
    let controls = file.controls.iter().filter_map(|(_, control)| {
        let found = netlist.element(&control.element);
        let is_known = found.is_some_and(|element| {
            element.letter == ElementKind::Resistor && element.value().is_some()
        });
        (!is_known).then(|| missing(&control.element, "resistor with a plain value", netlist))
    });
    let parts = file.parts.iter().filter_map(|(name, part)| {
        let found = netlist.element(name);
        let is_known = found.is_some_and(|element| element.letter == part.kind.letter());
        (!is_known).then(|| missing(name, part.kind.word(), netlist))
    });
    let pairs = file.pairs.iter().filter_map(|pair| unfit_pair(file, pair, netlist));
    points.chain(sources).chain(controls).chain(parts).chain(pairs).collect()
}

/// Two faults that the circuit can't have together, or of a part that the file does not rate.
fn unfit_pair(
    file: &CircuitFile,
    pair: &[At<PlacedFault>; 2],
    netlist: &Netlist,
) -> Option<Finding> {
    let mut spoiled = netlist.clone();
    for fault in pair {
        let is_part =
            file.parts.iter().any(|(part, _)| part.eq_ignore_ascii_case(&fault.value.part));
        if !is_part {
            let message = format!("this file names no part `{}`", fault.value.part);
            return Some(CHECK.error(message).at(fault.span).help("add it under `parts`"));
        }
        match spoiled.with(&fault.value) {
            Ok(with) => spoiled = with,
            Err(message) => return Some(CHECK.error(message).at(fault.span)),
        }
    }
    None
}

fn point(text: &At<String>, netlist: Option<&Netlist>) -> Option<Finding> {
    let point = CircuitPoint::read(text);
    let wrong = point.and_then(|point| netlist.map_or(Ok(()), |netlist| point.is_in(netlist)));
    wrong.err().map(|message| CHECK.error(message).at(text.span))
}

fn missing(name: &At<String>, what: &str, netlist: &Netlist) -> Finding {
    let message = format!("the netlist has no {what} called `{}`", name.value);
    let found = CHECK.error(message).at(name.span);
    match nearest(name, netlist.elements().map(|element| element.name.as_str())) {
        Some(meant) if meant != name.value => found.help(format!("did you mean `{meant}`?")),
        _ => found.help("name an element that stands outside of the subcircuits"),
    }
}
