//! Words that bring a source on where the procedure takes the equipment for dead.

use super::flow::flows;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::At;
use crate::procedure::step::Step;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD025", "switching-in-words", include_str!("switching_in_words.md"))
        .of_procedure(run);

/// Words of what energy comes from.
const SUPPLIES: &str = "mains outlet wall socket receptacle limiter variac supply supplies breaker isolator contactor \
    power transformer source rcd";
/// Words that follow `mains` and make it a part of the equipment or of its lead.
const PARTS: &str = "switch plug lead cord fuse side terminal terminals transformer filter capacitor inlet wiring \
    selector voltage meter guard earth indicator light";
/// What a person plugs in.
const SETS: &str =
    "set amplifier appliance equipment unit it lead cord device receiver radio instrument";
/// What is switched on at a bench and feeds nothing.
const TOOLS: &str = "meter tester light scope oscilloscope generator iron fan extractor thermometer voltmeter ammeter";
/// Words that say the energy is kept away, or that it is not to be done.
const KEPT_OFF: [&str; 13] = [
    "switched-off",
    "switched off",
    "output off",
    "outputs off",
    "unplugged",
    "plug out",
    "not ",
    "never ",
    "no ",
    "without ",
    "isolated",
    "don't",
    "power off",
];

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let flows = flows(subject.procedure);
    let mut findings = Vec::new();
    for flow in &flows {
        let dead_stage = flow.stage.source.value == Source::None;
        let off = flow.steps.iter().filter(|(_, energy)| !energy.live);
        findings.extend(off.filter_map(|(step, _)| finding(step, dead_stage)));
    }
    findings
}

fn finding(step: &Step, dead_stage: bool) -> Option<Finding> {
    let (text, words) = texts(step).find_map(|(text, is_act)| {
        let words = if is_act { switches_on(text, dead_stage) } else { is_on(text) };
        Some((text, words?))
    })?;
    Some(
        CHECK
            .error(format!("\"{words}\" brings a source on, and the equipment counts as dead here"))
            .at(text.span)
            .help(
                "make it a `set` step with `power: on`, in a stage with that source and a ceiling",
            ),
    )
}

/// What a step tells a person to do, and what it tells of the state it is done in.
fn texts(step: &Step) -> impl Iterator<Item = (&At<String>, bool)> {
    let off = step.set.as_ref().filter(|set| set.is_off()).map(|set| &set.what);
    let asked = step.hold.as_ref().map(|hold| &hold.ask);
    let watched_by = step.witness.as_ref().map(|witness| &witness.ask);
    let meanwhile = step.wait.as_ref().map(|wait| &wait.what);
    let noted = step.note.as_ref().map(|note| &note.0);
    let acts = [step.r#do.as_ref().map(|own| &own.0), off, asked, watched_by, meanwhile, noted];
    let acts = acts.into_iter().flatten();
    let read = step.read.as_ref().map(|read| &read.what);
    let watched = step.watch.as_ref().map(|watch| &watch.what);
    let states = step.look.as_ref().map(|look| &look.at).into_iter().chain(read).chain(watched);
    acts.map(|text| (text, true)).chain(states.map(|text| (text, false)))
}

/// The words that switch on in what a person is told to do.
fn switches_on(text: &str, dead_stage: bool) -> Option<String> {
    is_on(text).or_else(|| {
        clauses(text).find_map(|words| {
            let acts = plugs_in(&words) || feeds(&words) || turns_on(&words, dead_stage);
            acts.then(|| words.join(" "))
        })
    })
}

/// The words of a state in which a source is on.
fn is_on(text: &str) -> Option<String> {
    clauses(text).find_map(|words| {
        // "With the mains on", and not "power on the rating plate".
        let state = match words.as_slice() {
            [.., source, on] => on == "on" && among("mains power supply outlet", source),
            _ => false,
        };
        let act = words.iter().enumerate().any(|(n, word)| {
            let after = words.get(n + 1).map_or("", String::as_str);
            match word.as_str() {
                "plugging" | "plugged" => after == "in" || after == "into",
                "switching" | "powering" | "turning" => after == "on" || after == "up",
                "energised" | "energized" | "energising" | "energizing" => true,
                _ => false,
            }
        });
        (state || act).then(|| words.join(" "))
    })
}

/// The clauses of a text in small letters; none of a text that keeps the energy away.
fn clauses(text: &str) -> impl Iterator<Item = Vec<String>> {
    let text = text.to_lowercase();
    let bare = |word: &str| word.trim_matches(|c: char| !c.is_alphanumeric()).to_owned();
    let clause = |clause: &str| clause.split_whitespace().map(bare).collect();
    let clauses: Vec<Vec<String>> = text.split([',', ';', '.', ':']).map(clause).collect();
    let kept_off =
        KEPT_OFF.iter().any(|words| text.contains(words)) || clauses.iter().any(|own| is_off(own));
    let kept = if kept_off { Vec::new() } else { clauses };
    kept.into_iter()
}

/// Whether the clause ends with a source that is off, and is not the act of switching it off: "into the limiter with the limiter
/// off", "its switch off".
fn is_off(clause: &[String]) -> bool {
    let [first, .., source, off] = clause else { return false };
    let switches = among("and then switch turn flip throw put set shut take", first);
    off == "off" && (among(SUPPLIES, source) || source == "switch") && !switches
}

/// The words behind each verb of these in a clause.
fn behind<'a>(words: &'a [String], verbs: &'a str) -> impl Iterator<Item = &'a [String]> {
    let begins = |n: usize| {
        let before = n.checked_sub(1).and_then(|n| words.get(n)).map_or("", String::as_str);
        n == 0 || among("and then now to you", before)
    };
    words
        .iter()
        .enumerate()
        .filter(move |(n, word)| begins(*n) && among(verbs, word))
        .filter_map(|(n, _)| words.get(n + 1..))
}

/// "Plug the set into the mains outlet", "plug it in", "insert the plug into the wall socket".
fn plugs_in(words: &[String]) -> bool {
    let inward = |rest: &[String]| rest.iter().position(|word| among("in into", word));
    let plugs = behind(words, "plug replug").any(|rest| {
        let Some(at) = inward(rest) else { return false };
        let place = rest.get(at + 1..).unwrap_or_default();
        place.is_empty() || names_a_supply(place) || at == 0 && any_among(place, SETS)
    });
    let puts = behind(words, "insert stick put push mate").any(|rest| {
        let Some((what, place)) = inward(rest).and_then(|at| rest.split_at_checked(at)) else {
            return false;
        };
        any_among(what, "plug lead cord") && names_a_supply(place)
    });
    plugs || puts
}

/// "Connect the set to the mains", "apply power", "energise", "close the breaker".
fn feeds(words: &[String]) -> bool {
    let to_supply = |rest: &[String]| {
        let at = rest.iter().position(|word| among("to into with", word));
        at.and_then(|at| rest.get(at + 1..)).is_some_and(names_only_mains)
            || rest
                .iter()
                .position(|word| word == "mains")
                .is_some_and(|n| n <= 1 && !rest.get(n + 1).is_some_and(|next| among(PARTS, next)))
    };
    let breaker = |rest: &[String]| any_among(rest, "breaker isolator contactor");
    let volts = |rest: &[String]| any_among(rest, "mains power voltage volts supply");
    behind(words, "connect reconnect hook wire").any(to_supply)
        || behind(words, "give feed warm").any(names_only_mains)
        || behind(words, "close reset").any(breaker)
        || behind(words, "apply restore").any(volts)
        || behind(words, "energise energize repower re-energise").next().is_some()
}

/// "Switch the outlet on", "power up"; in a dead stage "switch it on" too.
fn turns_on(words: &[String], dead_stage: bool) -> bool {
    let up = |rest: &[String]| any_among(rest, "on up");
    let by_itself = |rest: &[String]| any_among(rest, "own switch");
    behind(words, "power").any(&up)
        || behind(words, "switch turn flip throw put bring").any(|rest| {
            let on = rest.iter().any(|word| word == "on");
            let raised = up(rest) && any_among(rest, "variac supply");
            let off = rest.iter().any(|word| word == "off");
            let supplied = names_a_supply(rest);
            let weak = dead_stage && !any_among(rest, TOOLS) && !rest.iter().any(|w| w == "its");
            !off && !by_itself(rest) && (raised || on && (supplied || weak && is_short(rest)))
        })
}

/// "Switch the set on": `on` is the last word, or the first.
fn is_short(rest: &[String]) -> bool {
    rest.first().is_some_and(|word| word == "on") || rest.last().is_some_and(|word| word == "on")
}

fn names_a_supply(words: &[String]) -> bool {
    words.iter().enumerate().any(|(n, word)| {
        let part = words.get(n + 1).is_some_and(|next| among(PARTS, next));
        among(SUPPLIES, word) && !part
    })
}

fn names_only_mains(words: &[String]) -> bool {
    let supply = words.iter().enumerate().find(|(_, word)| among("mains outlet wall", word));
    supply.is_some_and(|(n, _)| !words.get(n + 1).is_some_and(|next| among(PARTS, next)))
}

fn any_among(words: &[String], known: &str) -> bool {
    words.iter().any(|word| among(known, word))
}

fn among(known: &str, word: &str) -> bool {
    known.split_whitespace().any(|own| own == word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_bring_a_source_on_are_seen() {
        for text in [
            "Plug the set into the mains outlet",
            "Plug the amplifier in",
            "Plug in the appliance",
            "Put the cover aside, then plug it into the wall",
            "Switch the outlet on",
            "Switch on the mains",
            "Turn on the bench supply",
            "Power up the set",
            "Power the amplifier on",
            "Energise the transformer",
            "Connect the set to the mains",
            "Reconnect the mains",
            "Close the breaker",
            "Apply mains by way of the isolating transformer",
            "Restore power",
            "Turn the variac up to half",
            "Insert the fuse with the mains on",
            "Bring the bench supply up to 12 V",
            "Switch the supply off, plug the set into the wall",
            "Take the lid off, plug the set into the wall",
        ] {
            assert!(switches_on(text, false).is_some(), "{text}");
        }
        for text in ["Switch the amplifier on", "Switch it on", "Turn on the amplifier"] {
            assert!(switches_on(text, true).is_some(), "{text}");
            assert_eq!(switches_on(text, false), None, "{text}");
        }
        for text in ["The lamp after plugging in", "Pilot lamp with the mains on"] {
            assert!(is_on(text).is_some(), "{text}");
        }
    }

    #[test]
    fn words_that_leave_the_equipment_dead_are_left_alone() {
        for text in [
            "Plug the amplifier into the switched-off limiter",
            "Plug the mains lead into the test socket of the bench supply, its output off",
            "Plug the transformer secondary into the rectifier board",
            "Plug the mains lead into the inlet of the set",
            "Pull the mains plug out of the wall",
            "Turn the mains switch on",
            "Switch the appliance on at its own switch",
            "Switch the meter on",
            "Connect the bench supply to the reservoir: plus to plus, minus to minus",
            "Connect the insulation tester to the mains plug",
            "Fit an insulating cover over every bare mains terminal in the set",
            "Fit the mains fuse",
            "Turn the bias control of this channel to the end of least idle current",
            "Do not plug it in yet",
            "Switch the mains off",
            "Push the terminal back on the element until it grips",
            "Plug the supply into the limiter with the limiter off",
            "Plug the power cord into the limiter, its switch off",
            "Turn the voltage control up to the stop",
        ] {
            assert_eq!(switches_on(text, true), None, "{text}");
        }
        for text in [
            "Line pin to neutral pin of the plug, mains switch on, fuse fitted",
            "Plug, lead along its whole length, terminals inside the plug where it opens",
            "Switch and thermostat before the plug goes in",
            "Power on the rating plate",
        ] {
            assert_eq!(is_on(text), None, "{text}");
        }
    }
}
