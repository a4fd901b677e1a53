//! How large a netlist may be. Far above any amplifier on a bench, far below what could hurt the bench computer.

use std::collections::BTreeMap;

use super::element::ElementKind;
use super::{Element, Netlist, NetlistError};
use crate::diagnostic::Span;

/// The largest text (bytes).
pub(super) const BYTES_MAX: usize = 1 << 20;

/// The longest line, its continuations counted (bytes).
pub(super) const LINE_MAX: usize = 4_000;

/// The longest name (bytes).
pub(super) const NAME_MAX: usize = 48;

/// The most elements, once every subcircuit is put in its places.
pub(super) const ELEMENTS_MAX: usize = 5_000;

/// Refuses a circuit that grows too large once its subcircuits are put in, or that stands in itself.
pub(super) fn within(netlist: &Netlist) -> Result<(), NetlistError> {
    let mut sizes: BTreeMap<&str, usize> = BTreeMap::new();
    // A subcircuit has its size once those inside it have theirs; a round that brings nothing means that one stands in itself.
    while sizes.len() < netlist.subcircuits.len() {
        let before = sizes.len();
        for own in &netlist.subcircuits {
            if let Some(size) = size(&own.elements, &sizes) {
                sizes.insert(&own.name, size);
            }
        }
        if sizes.len() == before {
            let strange = netlist.subcircuits.iter().find(|own| !sizes.contains_key(&*own.name));
            let span = strange.and_then(|own| own.elements.first()).map(|first| first.span);
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
    let own = |element: &Element| match element.letter {
        ElementKind::Subcircuit => sizes.get(element.subcircuit()?.as_str()).copied(),
        _ => Some(1),
    };
    elements.iter().try_fold(0_usize, |sum, element| Some(sum.saturating_add(own(element)?)))
}
