//! A source that is switched off at the equipment itself.

use super::words::{among, mentions, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;

pub(super) const CHECK: Check =
    Check::new("ORD050", "off-at-the-set", include_str!("off_at_the_set.md")).of_procedure(run);

/// Roots of the equipment's own controls.
const OWN: &str = "front knob panel remote standby volume";
/// Words before a switch that is the equipment's own; a possessive is one as well.
const ITS: &str = "its own rocker power set amplifier radio receiver";
/// Roots of what the source is switched off at, or disconnected by.
const SOURCES: &str = "bench breaker cord grid isolator lead limiter mains outlet plug receptacle socket supply transformer variac wall";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let sets = subject.procedure.steps().filter_map(|(_, step)| step.set.as_ref());
    let offs = sets.filter(|set| set.is_off() && is_at_the_set(&set.what)).map(|set| &set.what);
    offs.map(|what| {
        CHECK
            .error("this leaves the source on: the equipment's own switch disconnects nothing before itself")
            .at(what.span)
            .help("switch off at the source (limiter, outlet, bench supply) or pull the plug")
    })
    .collect()
}

fn is_at_the_set(what: &str) -> bool {
    let whole = words(what);
    let own_switch = whole.windows(2).any(|pair| {
        let [whose, switch] = pair else { return false };
        among("button switch", &switch.low) && among(ITS, whose.low.trim_end_matches("'s"))
    });
    (own_switch || mentions(what, OWN) || what.to_lowercase().contains("stand-by"))
        && !mentions(what, SOURCES)
}

#[cfg(test)]
mod tests {
    use super::is_at_the_set;

    #[test]
    fn the_equipments_own_switch_is_told_from_that_of_its_source() {
        for what in [
            "Turn the set off by its volume control",
            "Put the radio into standby",
            "Press its power button",
            "Switch it off at its own switch",
            "Set's switch to off",
            "Off with the remote control",
        ] {
            assert!(is_at_the_set(what), "{what}");
        }
        for what in [
            "Switch the limiter off, plug out",
            "Switch the bench supply off at its own switch",
            "Outlet off, set's switch stays closed",
            "Pull the mains plug",
            "Switch the source off",
            "Volume down, then the outlet off",
        ] {
            assert!(!is_at_the_set(what), "{what}");
        }
    }
}
