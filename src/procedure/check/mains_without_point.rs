//! Mains equipment of which no charge point is where its mains come in.

use super::words::{among, mentions, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;

pub(super) const CHECK: Check =
    Check::new("HAZ029", "mains-without-point", include_str!("mains_without_point.md"))
        .of_procedure(run);

/// Roots of a place where the mains come in.
const INPUT: &str = "cord flex inlet neutral plug prong";
/// Roots of the mains by name, which are also said of what lies behind the rectifier; and words of a capacitor across them.
const MAINS: &str = "mains";
const ACROSS_THE_MAINS: &str = "x x1 x2 x-capacitor";
/// Roots of what has a plug, a lead or an inlet too.
const ELSEWHERE: &str = "loudspeaker output signal speaker";
/// Roots of what lies behind the rectifier or the transformer.
const BEHIND: &str = "bulk reservoir secondary smoothing";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let mut stages = subject.procedure.stages.iter();
    let Some(first) = stages.find(|stage| stage.source.is_mains()) else { return Vec::new() };
    let mut points = subject.procedure.charge_points.iter();
    // What is behind a cover is not measured while that is closed.
    if points.any(|(_, point)| point.behind.is_none() && is_the_input(&point.at)) {
        return Vec::new();
    }
    let found = CHECK.error("no charge point is where the mains come in").at(first.source.span);
    vec![found.help(
        "add one to `charge_points`, as \"Line pin to neutral pin of the unplugged plug\": a capacitor across the mains keeps their peak there",
    )]
}

fn is_the_input(at: &str) -> bool {
    let whole = words(at);
    let says = |list: &str| whole.iter().any(|word| among(list, &word.low));
    let by_name = (mentions(at, MAINS) || says(ACROSS_THE_MAINS)) && !mentions(at, BEHIND);
    (mentions(at, INPUT) || by_name || says("l") && says("n")) && !mentions(at, ELSEWHERE)
}

#[cfg(test)]
mod tests {
    use super::is_the_input;

    #[test]
    fn where_the_mains_come_in_is_told_from_what_lies_behind() {
        for at in [
            "Line pin to neutral pin of the unplugged plug",
            "Hot and neutral prongs of the unplugged power cord",
            "Mains lead, unplugged: each pin to each",
            "Across the X capacitor at the filter",
            "L to N at the terminal block",
            "Pins of the appliance inlet",
            "Across the smoothing capacitor at the inlet",
        ] {
            assert!(is_the_input(at), "{at}");
        }
        for at in [
            "Across the reservoir capacitor",
            "Mains reservoir, on its own screws",
            "Secondary of the mains transformer",
            "Loudspeaker plug",
            "HT line to chassis",
        ] {
            assert!(!is_the_input(at), "{at}");
        }
    }
}
