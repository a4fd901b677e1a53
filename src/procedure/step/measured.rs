//! What a value that is read off is of: of the equipment, or of something else that stands beside it.
//!
//! Told by where it is read from, by the meter's function, and else by the words of the step.

use super::{Kind, Step};
use crate::quantity::Dimension;

/// Whole words of what is printed or set on the equipment: read with the eyes, and no meter touches anything.
const PRINT: [&str; 14] = [
    "plate",
    "nameplate",
    "label",
    "sticker",
    "badge",
    "printed",
    "stamped",
    "engraved",
    "marking",
    "rating",
    "print",
    "sheet",
    "manual",
    "schematic",
];
/// The same in several words.
const PRINTS: [&str; 2] = ["set for", "set to"];
/// Words in the name of a function of which the meter gives the energy itself.
const FUNCTIONS: [&str; 7] =
    ["resistance", "ohm", "diode", "capacitance", "inductance", "continuity", "insulation"];
/// Words of such a reading where no function is named.
const OF_THE_METER: [&str; 4] = ["diode test", "forward drop", "junction", "test voltage"];
/// Leakage that the tester drives itself, on equipment that no source feeds.
const DRIVEN: [&str; 3] = ["alternative", "substitute", "equivalent"];
/// What has a voltage of its own, to prove a meter on.
const KNOWN: [&str; 4] = ["battery", "known source", "calibrator", "reference source"];

impl Step {
    /// Tells whether it reads a voltage of the equipment, which is there only while something feeds or has charged it.
    #[must_use]
    pub fn measures_voltage(&self) -> bool {
        self.measures(Dimension::VOLTAGE)
    }

    /// Tells whether it reads a current or a power of the equipment, which is there only while something feeds it.
    #[must_use]
    pub fn measures_flow(&self) -> bool {
        self.measures(Dimension::CURRENT) || self.measures(Dimension::POWER)
    }

    fn measures(&self, dimension: Dimension) -> bool {
        let read =
            self.read.as_ref().map(|reading| (&reading.what, &reading.function, &reading.from));
        let watch = self.watch.as_ref().map(|watch| (&watch.what, &watch.function, &watch.from));
        let Some((what, function, from)) = read.or(watch) else { return false };
        let of_unit = self.kind().and_then(Kind::unit).map(crate::quantity::Unit::dimension);
        let what = what.to_lowercase();
        let is_elsewhere = match (from, function) {
            (Some(_), _) => false,
            (None, Some(function)) => {
                says(function, &FUNCTIONS) || says(&what, &DRIVEN) || says(&what, &KNOWN)
            }
            (None, None) => is_printed(&what) || is_of_the_meter(&what),
        };
        of_unit == Some(dimension) && !is_elsewhere
    }
}

fn is_printed(what: &str) -> bool {
    let mut words = what.split(|c: char| !c.is_alphanumeric());
    words.any(|word| PRINT.contains(&word)) || says(what, &PRINTS)
}

fn is_of_the_meter(what: &str) -> bool {
    [&OF_THE_METER[..], &DRIVEN, &KNOWN].iter().any(|list| says(what, list))
}

fn says(text: &str, words: &[&str]) -> bool {
    words.iter().any(|word| text.contains(word))
}

#[cfg(test)]
mod tests {
    use crate::procedure::{Step, read_yaml};

    fn step(read: &str) -> Step {
        read_yaml(&format!("step: seen\nread: {{{read}}}\n")).expect("a step")
    }

    #[test]
    fn a_voltage_of_the_equipment_is_told_from_print_and_from_the_meter_s_own() {
        for read in [
            "what: Mains voltage inside, unit: V",
            "what: Across the reservoir, unit: mV, function: dc-voltage",
            "what: On the plate of the valve, unit: V, function: dc-voltage",
            "what: Output posts, unit: V, from: plus.voltage",
            "what: Line to neutral at the switch, unit: kV",
            "what: Across the 8 ohm load, unit: V",
        ] {
            assert!(step(read).measures_voltage(), "{read}");
            assert!(!step(read).measures_flow(), "{read}");
        }
        for read in [
            "what: Mains voltage on the rating plate, unit: V",
            "what: Voltage the tapping plug is set for, unit: V",
            "what: Diode test of the bridge, unit: V, function: diode-test",
            "what: Diode test of the bridge, unit: V",
            "what: Test voltage on the tester, unit: V",
            "what: Prove the meter on the battery, unit: V, function: dc-voltage",
            "what: Earth pin to chassis, unit: ohm",
        ] {
            assert!(!step(read).measures_voltage(), "{read}");
        }
    }

    #[test]
    fn a_current_or_a_power_of_the_equipment_is_told_from_print_and_from_the_tester_s_own() {
        for read in [
            "what: Leakage to earth, unit: mA",
            "what: Power drawn, unit: W",
            "what: Supply current, unit: mA, function: dc-current",
        ] {
            assert!(step(read).measures_flow(), "{read}");
            assert!(!step(read).measures_voltage(), "{read}");
        }
        for read in [
            "what: Rating printed on the fuse, unit: A",
            "what: Power on the rating plate, unit: W",
            "what: Alternative leakage current from the tester, unit: mA",
        ] {
            assert!(!step(read).measures_flow(), "{read}");
        }
    }
}
