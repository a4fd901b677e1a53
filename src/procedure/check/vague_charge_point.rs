//! A charge point that names no place.

use super::words::{mentions, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::At;

pub(super) const CHECK: Check =
    Check::new("HAZ028", "vague-charge-point", include_str!("vague_charge_point.md"))
        .of_procedure(run);

/// Roots of what a probe is put on.
const PLACES: &str = "anode battery bridge bulk cap cathode choke condenser connector dc drain eht electrolytic emitter filter hot ht inlet lead \
    line link live minus motor negative neutral output pin plug plus pole positive post primary prong rail rectifier reservoir screw \
    secondary smoothing snubber socket stud supply tab tag terminal tube valve winding wire";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let points = subject.procedure.charge_points.iter();
    points.filter_map(|(_, point)| finding(&point.at)).collect()
}

fn finding(at: &At<String>) -> Option<Finding> {
    (!names_a_place(at)).then(|| {
        CHECK
            .error("nobody can tell from these words where to put the probes")
            .at(at.span)
            .help("name the two points: \"across the reservoir capacitor\", \"line pin to neutral pin of the plug\"")
    })
}

/// A part, a pin or a designator such as C4.
fn names_a_place(text: &str) -> bool {
    let is_designator = |word: &str| {
        let figures = word.trim_start_matches(|c: char| c.is_ascii_uppercase());
        let letters = word.len() - figures.len();
        (1..=3).contains(&letters)
            && !figures.is_empty()
            && figures.chars().all(|c| c.is_ascii_digit())
    };
    mentions(text, PLACES) || words(text).iter().any(|word| is_designator(word.bare))
}
