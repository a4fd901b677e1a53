//! A step that takes a protection away, or trusts what proves nothing.

use super::words::{among, mentions, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::At;

pub(super) const CHECK: Check =
    Check::new("HAZ024", "defeated-protection", include_str!("defeated_protection.md"))
        .of_procedure(run);

/// Words that turn an order round.
const NEVER: &str = "cannot don't must'nt never no not nothing nowhere without";

/// What a clause says: one word beginning with each of these lists, and what is wrong with it.
const FORBIDDEN: &[(&[&str], &str)] = &[
    (
        &["oscilloscope scope", "float isolat unearth"],
        "an oscilloscope without its earth has a live case",
    ),
    (
        &[
            "bypass cut defeat disconnect isolat lift remov tape",
            "earth ground",
            "pin prong oscilloscope scope tester outlet plug",
        ],
        "the earth is the protection: it stays on",
    ),
    (
        &[
            "bypass bridg defeat disabl overrid",
            "breaker cut-out cutout fuse gfci guard interlock protection rcd thermal",
        ],
        "a protection is taken away",
    ),
    (&["bigger higher larger stronger", "fuse"], "a larger fuse protects nothing"),
    (
        &["non-contact noncontact neon phase volt", "detector pen screwdriver stick tester"],
        "it tells nothing of DC, and of AC not that there is none",
    ),
    (&["cheater"], "the earth is the protection: it stays on"),
];
/// Places on which the earthed clip of an oscilloscope is a short circuit.
const NOT_FOR_THE_CLIP: &str = "collector drain emitter hot live primary rail";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    let mut findings: Vec<Finding> = Vec::new();
    let points = procedure.charge_points.iter().map(|(_, point)| &point.at);
    let steps = procedure.steps().filter_map(|(_, step)| super::words::told(step));
    let told = points.chain([&procedure.known_source.what]).chain(steps);
    findings.extend(told.filter_map(|text| Some(finding(text, wrong(text)?))));
    findings
}

/// What a text tells to do that nobody should.
fn wrong(text: &str) -> Option<&'static str> {
    let mut clauses = text.split([',', '.', ';', ':']).filter(|clause| !is_refused(clause));
    clauses.find_map(|clause| {
        let found = FORBIDDEN.iter().find(|(lists, _)| lists.iter().all(|list| says(clause, list)));
        found
            .map(|(_, why)| *why)
            .or_else(|| hard_short(text, clause))
            .or_else(|| misplaced_clip(clause))
    })
}

fn is_refused(clause: &str) -> bool {
    words(clause).iter().any(|word| among(NEVER, &word.low))
}

/// As [`mentions`], where a root with a dash is looked for as it stands.
fn says(clause: &str, list: &str) -> bool {
    let whole = words(clause);
    mentions(clause, list)
        || list
            .split(' ')
            .filter(|root| root.contains('-'))
            .any(|root| whole.iter().any(|word| word.low.starts_with(root)))
}

/// A tool put across charge; what is to be discharged may stand in another clause.
fn hard_short(text: &str, clause: &str) -> Option<&'static str> {
    (mentions(text, "discharg") && mentions(clause, "screwdriver spanner pliers"))
        .then_some("a hard short welds, sprays and breaks the capacitor")
}

fn misplaced_clip(clause: &str) -> Option<&'static str> {
    let words = words(clause);
    let clip = words.windows(2).position(|pair| {
        let [kind, clip] = pair else { return false };
        among("earth ground", &kind.low) && among("clip lead", &clip.low)
    })?;
    let mut behind = words.iter().skip(clip + 2).take(5);
    let is_scope = among("clip", &words.get(clip + 1)?.low);
    (is_scope && behind.any(|word| among(NOT_FOR_THE_CLIP, &word.low)))
        .then_some("the clip of an oscilloscope is a wire to earth: there it is a short circuit")
}

fn finding(text: &At<String>, why: &str) -> Finding {
    CHECK.error("the text tells to do what takes a protection away").at(text.span).label(why).help(
        "find another way; what must never be done goes into a sentence of its own with \"never\"",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_takes_a_protection_away_is_told_from_what_forbids_it() {
        for text in [
            "Float the oscilloscope on an isolating transformer",
            "Remove the earth pin of the scope's plug",
            "Bridge the fuse with a wire",
            "Fit a larger fuse",
            "Hold the non-contact tester near the wire: nothing",
            "Discharge it with a screwdriver",
            "Clip the probe on, earth clip on the live chassis",
            "Bypass the lid interlock",
        ] {
            assert!(wrong(text).is_some(), "{text}");
        }
        for text in [
            "discharge it through 100 ohm 10 W in insulated clips, never with a screwdriver",
            "Clip a 10:1 oscilloscope probe on each output, earth clip to 0 V only",
            "Outlet behind an isolating transformer, nothing else on it",
            "Earth pin of the plug to bare metal, lead flexed",
            "Fit the same fuse; never a larger one",
        ] {
            assert_eq!(wrong(text), None, "{text}");
        }
    }
}
