//! Hands that go inside while the mains feeds the equipment.

use super::flow::flows;
use super::{Check, Subject};
use crate::diagnostic::Finding;

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
    let steps = mains.flat_map(|flow| &flow.steps).filter(|(_, energy)| energy.live);
    let hands_in = steps.filter_map(|(step, _)| {
        let text = &step.r#do.as_ref()?.0;
        is_inside(text).then(|| {
            CHECK
                .error(format!("`{}` puts hands inside while the mains is on", step.step.value))
                .at(text.span)
                .help("switch off and prove dead first; clip meters on while the equipment is dead")
        })
    });
    hands_in.collect()
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
    use super::is_inside;

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
            assert!(!is_inside(text), "{text}");
        }
    }
}
