//! A part of a circuit of which nobody says what it stands.

use super::Check;
use crate::diagnostic::Finding;
use crate::netlist::{Netlist, PartKind};
use crate::procedure::CircuitFile;
use crate::quantity::Dimension;

pub(super) const CHECK: Check =
    Check::new("CIR004", "part-without-rating", include_str!("part_without_rating.md"))
        .of_circuit(run);

fn run(file: &CircuitFile, _: Option<&Netlist>) -> Vec<Finding> {
    let without = file.parts.iter().filter_map(|(name, part)| {
        let (wanted, example) = rating_of(part.kind.value);
        let help =
            format!("write what a {} stands for good, as in `rating: {example}`", part.kind.word());
        let Some(rating) = &part.rating else {
            let message = format!("nobody says what `{}` stands", name.value);
            return Some(CHECK.error(message).at(name.span).help(help));
        };
        let fits = rating.dimension == wanted && rating.to_f64() > 0.0;
        let found = rating.dimension.name();
        let message = format!("{found} like this is no rating of a {}", part.kind.word());
        (!fits).then(|| CHECK.error(message).at(rating.span).help(help))
    });
    without.collect()
}

/// What parts of a kind are rated by, with an example.
fn rating_of(kind: PartKind) -> (Dimension, &'static str) {
    match kind {
        PartKind::Capacitor | PartKind::Electrolytic => (Dimension::VOLTAGE, "63 V"),
        PartKind::Fuse | PartKind::Inductor => (Dimension::CURRENT, "2 A"),
        PartKind::Resistor
        | PartKind::Potentiometer
        | PartKind::Diode
        | PartKind::Transistor
        | PartKind::Mosfet
        | PartKind::Jfet => (Dimension::POWER, "0.5 W"),
    }
}
