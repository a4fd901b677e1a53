//! Which faults the parts of a kind have, and on what that rests: one table, which `docs/circuit.md` shows.

use super::element::ElementKind;
use super::fault::{Leg, PartFault};

/// What a part is to a technician.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum PartKind {
    /// A fixed resistor.
    Resistor,
    /// A bias or offset control, wired as a resistor.
    Potentiometer,
    /// A fuse, in the netlist a small resistance.
    Fuse,
    /// A film or ceramic capacitor.
    Capacitor,
    /// An electrolytic capacitor.
    Electrolytic,
    /// A coil or a winding.
    Inductor,
    /// A diode, Zener diodes among them.
    Diode,
    /// A bipolar transistor.
    Transistor,
    /// A MOSFET.
    Mosfet,
    /// A junction FET.
    Jfet,
}

impl PartKind {
    /// What such a part is in a netlist.
    #[must_use]
    pub fn letter(self) -> ElementKind {
        match self {
            Self::Resistor | Self::Potentiometer | Self::Fuse => ElementKind::Resistor,
            Self::Capacitor | Self::Electrolytic => ElementKind::Capacitor,
            Self::Inductor => ElementKind::Inductor,
            Self::Diode => ElementKind::Diode,
            Self::Transistor => ElementKind::Transistor,
            Self::Mosfet => ElementKind::Mosfet,
            Self::Jfet => ElementKind::Jfet,
        }
    }

    /// What a part is of which only the letter is known.
    #[must_use]
    pub fn of_letter(letter: ElementKind) -> Option<Self> {
        FAULTS.iter().map(|row| row.kind).find(|kind| kind.letter() == letter)
    }

    /// The word for it in a circuit file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Resistor => "resistor",
            Self::Potentiometer => "potentiometer",
            Self::Fuse => "fuse",
            Self::Capacitor => "capacitor",
            Self::Electrolytic => "electrolytic",
            Self::Inductor => "inductor",
            Self::Diode => "diode",
            Self::Transistor => "transistor",
            Self::Mosfet => "mosfet",
            Self::Jfet => "jfet",
        }
    }
}

/// The faults of one kind of part.
#[derive(Clone, Copy, Debug)]
pub struct Faults {
    /// The kind.
    pub kind: PartKind,
    /// Its faults, in the order in which they are tried.
    pub faults: &'static [PartFault],
    /// What says that these are its faults.
    pub basis: &'static str,
}

const PRACTICE: &str = "common practice, no source";

/// The legs of a junction transistor come loose one by one, and its junctions melt together two by two.
const BIPOLAR: &[PartFault] = &[
    PartFault::LegOpen(Leg::Collector),
    PartFault::LegOpen(Leg::Base),
    PartFault::LegOpen(Leg::Emitter),
    PartFault::LegsShort(Leg::Collector, Leg::Emitter),
    PartFault::LegsShort(Leg::Base, Leg::Emitter),
    PartFault::LegsShort(Leg::Collector, Leg::Base),
    PartFault::Leaky,
];

const FIELD_EFFECT: &[PartFault] = &[
    PartFault::LegOpen(Leg::Drain),
    PartFault::LegOpen(Leg::Gate),
    PartFault::LegOpen(Leg::Source),
    PartFault::LegsShort(Leg::Drain, Leg::Source),
    PartFault::LegsShort(Leg::Gate, Leg::Source),
    PartFault::LegsShort(Leg::Drain, Leg::Gate),
    PartFault::Leaky,
];

/// The faults of every kind of part.
pub const FAULTS: [Faults; 10] = [
    Faults {
        kind: PartKind::Resistor,
        faults: &[PartFault::Open, PartFault::Short, PartFault::Value(2.0), PartFault::Value(0.5)],
        basis: "common practice, no source: it burns open or drifts; a short is a solder bridge or a wrong part",
    },
    Faults {
        kind: PartKind::Potentiometer,
        faults: &[PartFault::Open, PartFault::Short, PartFault::Value(2.0), PartFault::Value(0.5)],
        basis: "common practice, no source: a worn track loses its wiper",
    },
    Faults { kind: PartKind::Fuse, faults: &[PartFault::Open], basis: PRACTICE },
    Faults {
        kind: PartKind::Capacitor,
        faults: &[PartFault::Open, PartFault::Short, PartFault::Leaky],
        basis: PRACTICE,
    },
    Faults {
        kind: PartKind::Electrolytic,
        faults: &[PartFault::Open, PartFault::Short, PartFault::Leaky, PartFault::Value(0.5)],
        basis: "common practice, no source: it dries out, or leaks after years without volts",
    },
    Faults {
        kind: PartKind::Inductor,
        faults: &[PartFault::Open, PartFault::Short],
        basis: PRACTICE,
    },
    Faults {
        kind: PartKind::Diode,
        faults: &[PartFault::Open, PartFault::Short, PartFault::Leaky],
        basis: PRACTICE,
    },
    Faults { kind: PartKind::Transistor, faults: BIPOLAR, basis: PRACTICE },
    Faults { kind: PartKind::Mosfet, faults: FIELD_EFFECT, basis: PRACTICE },
    Faults { kind: PartKind::Jfet, faults: FIELD_EFFECT, basis: PRACTICE },
];

/// The faults that a part of this kind has.
#[must_use]
pub fn faults_of(kind: PartKind) -> &'static [PartFault] {
    FAULTS.iter().find(|row| row.kind == kind).map_or(&[], |row| row.faults)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_its_faults_once() {
        for row in &FAULTS {
            assert_eq!(FAULTS.iter().filter(|other| other.kind == row.kind).count(), 1);
            assert!(!row.faults.is_empty() && !row.basis.is_empty());
            for fault in row.faults {
                assert_eq!(row.faults.iter().filter(|other| *other == fault).count(), 1, "{fault}");
            }
        }
    }
}
