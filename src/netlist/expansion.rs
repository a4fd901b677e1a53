//! How large a circuit is once every subcircuit is put in its places.

use std::collections::BTreeMap;

use super::circuit::Netlist;
use super::element::{Element, ElementKind};
use super::error::NetlistError;
use super::limits::ELEMENTS_MAX;
use crate::diagnostic::Span;

/// Refuses a circuit that grows too large once its subcircuits are put in, or that stands in itself.
pub(super) fn within(netlist: &Netlist) -> Result<(), NetlistError> {
    let mut sizes: BTreeMap<&str, usize> = BTreeMap::new();
    // A subcircuit has its size once those inside it have theirs; a round that brings nothing means that one stands in itself.
    while sizes.len() < netlist.subcircuits.len() {
        let before = sizes.len();
        for subcircuit in &netlist.subcircuits {
            if let Some(size) = size(&subcircuit.elements, &sizes) {
                sizes.insert(&subcircuit.name, size);
            }
        }
        if sizes.len() == before {
            let strange = netlist
                .subcircuits
                .iter()
                .find(|subcircuit| !sizes.contains_key(&*subcircuit.name));
            let span =
                strange.and_then(|subcircuit| subcircuit.elements.first()).map(|first| first.span);
            return Err(NetlistError::new(
                span.unwrap_or_default(),
                "this subcircuit stands in itself: the circuit would never end",
            ));
        }
    }
    let whole = size(&netlist.elements, &sizes).unwrap_or(usize::MAX);
    if whole > ELEMENTS_MAX {
        let last = netlist.elements.last().map_or(Span::default(), |last| last.span);
        let message = format!("the circuit has more than {ELEMENTS_MAX} elements");
        return Err(NetlistError::new(last, message).help(
            "cut it down to what stands on the bench: what a reading depends on, part by part",
        ));
    }
    Ok(())
}

fn size(elements: &[Element], sizes: &BTreeMap<&str, usize>) -> Option<usize> {
    let count = |element: &Element| match element.letter {
        ElementKind::Subcircuit => sizes.get(element.subcircuit()?.as_str()).copied(),
        _ => Some(1),
    };
    elements.iter().try_fold(0_usize, |sum, element| Some(sum.saturating_add(count(element)?)))
}
