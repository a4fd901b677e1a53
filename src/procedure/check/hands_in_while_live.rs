//! Hands that go inside while the mains feeds the equipment.

use super::families::{INSULATED, METAL_TOOLS};
use super::flow::{energises, flows};
use super::words::{mentions, told};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Step};

pub(super) const CHECK: Check =
    Check::new("ORD029", "hands-in-while-live", include_str!("hands_in_while_live.md"))
        .of_procedure(run);

/// Verbs of work inside.
const WORK: &str = "solder desolder unsolder resolder unscrew replace swap reach scrape bend probe clip lift defeat";
/// Verbs that open or loosen, with what then lies open.
const OPENS: &str = "remove take open pull push move unplug disconnect put place fit insert change touch hold bridge bypass";
const INNER: &str = "cover lid case housing shield guard fuse board card screws panel interlock probe probes clip clips \
    inside chassis heatsink capacitor reservoir";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let flows = flows(subject.procedure);
    let mains = flows.iter().filter(|flow| flow.stage.source.is_mains());
    let steps = mains.flat_map(|flow| &flow.steps);
    let live = steps.filter(|(step, energy)| energy.live || energises(step));
    live.filter_map(|(step, _)| finding(step)).collect()
}

fn finding(step: &Step) -> Option<Finding> {
    let act = step.r#do.as_ref().map(|own| &own.0).filter(|text| is_inside(text) || tips(text));
    let text: &At<String> = act.or(told(step).filter(|text| is_by_hand(text)))?;
    Some(
        CHECK
            .error(format!("`{}` puts hands inside while the mains is on", step.step.value))
            .at(text.span)
            .help("switch off and prove dead first; clip meters on while the equipment is dead"),
    )
}

/// A reading, a look or an act with a probe held by hand, a bare finger or a tool of bare metal.
fn is_by_hand(text: &str) -> bool {
    let low = text.to_lowercase();
    let hands = ["by hand", "either hand", "each hand", "both hands", "bare hand"];
    let held = mentions(text, "held hold press touch") && mentions(text, "probe");
    let felt = mentions(text, "feel felt touch") && mentions(text, "finger hand palm thumb");
    let tool = mentions(text, METAL_TOOLS) && !mentions(text, INSULATED);
    hands.iter().any(|words| low.contains(words)) || held || felt || tool
}

/// The set itself is moved: what stands on the bench stays as it was when it was proved dead.
fn tips(text: &str) -> bool {
    let words: Vec<String> = super::words::words(text).into_iter().map(|word| word.low).collect();
    let [first, rest @ ..] = words.as_slice() else { return false };
    let over = rest.iter().any(|word| among("over round side upright upside", word));
    let whole = rest
        .iter()
        .any(|word| among("amplifier appliance chassis radio receiver set supply", word));
    whole
        && (among("invert lift move tilt tip upend", first)
            || over && among("flip lay roll turn", first))
}

fn is_inside(text: &str) -> bool {
    let text = text.to_lowercase();
    let words: Vec<&str> = text
        .split_whitespace()
        .map(|word| word.trim_matches(|c: char| !c.is_alphanumeric()))
        .collect();
    let begins = |n: usize| {
        let before = n.checked_sub(1).and_then(|n| words.get(n)).copied().unwrap_or("and");
        among("and then", before)
    };
    let among_inner = |words: &[&str]| words.iter().any(|word| among(INNER, word));
    // What hangs at the outside is changed at terminals.
    let outside = text.contains("terminal") || text.contains("load");
    words.iter().enumerate().filter(|(n, _)| begins(*n)).any(|(n, word)| {
        let rest = words.get(n + 1..).unwrap_or_default();
        !outside && (among(WORK, word) || among(OPENS, word) && among_inner(rest))
    })
}

fn among(known: &str, word: &str) -> bool {
    known.split_whitespace().any(|own| own == word)
}

#[cfg(test)]
mod tests {
    use super::{is_by_hand, is_inside, tips};

    #[test]
    fn work_inside_is_told_from_work_at_controls_and_terminals() {
        for text in [
            "Move the probe to the negative rail",
            "Take the cover off",
            "Solder the wire back",
            "Clip the meter on the rail",
            "Replace the fuse",
            "Switch the fan off and lift the board",
            "Hold the interlock closed",
        ] {
            assert!(is_inside(text), "{text}");
        }
        for text in [
            "Take the oscilloscope probes off the loads",
            "Turn this channel's bias control until its millivoltmeter shows 12 mV",
            "Adjust the panel voltmeter's preset with an insulated tool",
            "Connect the reference ammeter straight across the output terminals",
            "Raise the generator to 100 mV RMS",
            "Turn the thermostat back to its highest",
        ] {
            assert!(!is_inside(text) && !is_by_hand(text) && !tips(text), "{text}");
        }
    }

    #[test]
    fn probes_held_by_hand_bare_tools_and_a_moved_chassis_are_seen() {
        for text in [
            "Bulk capacitor, a probe held on each pin, one in either hand",
            "Module, felt with a fingertip",
            "Trim the pot with a metal screwdriver",
            "Outlet on, then tap the transformer with a screwdriver",
            "Line to neutral, probes pressed on the terminals",
        ] {
            assert!(is_by_hand(text), "{text}");
        }
        for text in ["Tip the chassis on its side", "Turn the set over", "Lift the amplifier"] {
            assert!(tips(text), "{text}");
        }
        for text in [
            "Switch the outlet on at arm's length, one hand only",
            "Bench supply, finger on its output switch",
            "Adjust the preset with an insulated screwdriver",
            "Heatsink, infrared thermometer",
        ] {
            assert!(!is_by_hand(text) && !tips(text), "{text}");
        }
        assert!(!tips("Turn the set's volume control down"));
    }
}
