//! A `do` step that hides a second action.

use super::families::{ASIDES, LEADS};
use super::words::{Word, among, is_action, is_order, is_verb, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Step};

pub(super) const CHECK: Check =
    Check::new("TXT002", "two-actions", include_str!("two_actions.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let steps = subject.procedure.steps();
    steps.filter_map(|(_, step)| finding(act(step)?)).collect()
}

/// What a person is told to do. Switching off goes with pulling the plug.
fn act(step: &Step) -> Option<&At<String>> {
    let set = step.set.as_ref().filter(|set| !set.is_off()).map(|set| &set.what);
    step.r#do.as_ref().map(|act| &act.0).or(set)
}

fn finding(text: &At<String>) -> Option<Finding> {
    let second = second_action(text)?;
    Some(
        CHECK
            .warning(format!("this looks like two actions: \"{second}\" begins the second"))
            .at(text.span)
            .help("make a step of each, so that each is done and confirmed on its own"),
    )
}

/// What may stand before a verb that is told, besides [`LEADS`]: "after that", "which you".
const BEHIND_A_JOINT: &str = "after that this which";
/// What goes on beside an act and is none: "raise it slowly, watching the lamp".
const BESIDE: &str = "watching looking listening keeping holding noting noticing using being leaving standing wearing waiting";

/// The words that begin a second action.
fn second_action(text: &str) -> Option<String> {
    let words = words(text);
    let first = words.first()?;
    let mut told = usize::from(!among(ASIDES, &first.low));
    (1..words.len()).find_map(|n| {
        let (joint, behind) = (words.get(n - 1)?, words.get(n..)?);
        let verb = begun(&words, n - 1, joint, behind)?;
        told += 1;
        (told > 1).then(|| format!("{} {}", joint.bare, verb.bare))
    })
}

/// The verb of an action that begins behind the joint, which is the word of that number.
fn begun<'a, 'b>(
    words: &'b [Word<'a>],
    at: usize,
    joint: &Word<'a>,
    behind: &'b [Word<'a>],
) -> Option<&'b Word<'a>> {
    let starts_sentence = matches!(joint.ends, Some('.' | ';' | '!'));
    let together = ["at", "the", "same", "time"];
    let together = behind.iter().map(|word| word.low.as_str()).take(4).eq(together);
    let joined = if together { 4 } else { 0 };
    let leads = behind.iter().skip(joined);
    let leads = leads.take_while(|word| {
        among(LEADS, &word.low) || among(BEHIND_A_JOINT, &word.low) || word.low.ends_with("ly")
    });
    let skipped = joined + leads.count();
    let rest = behind.get(skipped..)?;
    let verb = rest.first()?;
    let after = |n: usize| rest.get(n).map_or("", |word| word.low.as_str());
    let acts = is_action(&verb.low, after(1)) || orders(&verb.low, after(1), after(2));
    let numbered = at > 0 && joint.low.chars().all(|c| c.is_ascii_digit());
    let begins = if starts_sentence {
        is_verb(&verb.low) || acts
    } else if among("then", &joint.low) || joint.ends.is_some() {
        acts
    } else if joint.low == "and" {
        acts || skipped > 0 && is_verb(&verb.low)
            || behind.first().is_some_and(|word| word.low == "then")
    } else if among("before after once while", &joint.low) {
        acts && behind.first().is_some_and(|word| word.low == "you")
            || is_done_beside(verb, after(1))
    } else if at > 0 && words.get(at - 1).is_some_and(|word| word.low == "well")
        || among("besides having plus", &joint.low)
    {
        is_done_beside(verb, after(1)) || joint.low == "having" || joint.low == "plus" && acts
    } else {
        numbered && verb.low.len() > 2 && orders(&verb.low, after(1), after(2))
    };
    begins.then_some(verb)
}

/// Whether a clause that begins so tells to do something, also with a word between: "peel off the label".
fn orders(verb: &str, after: &str, third: &str) -> bool {
    let between = among("away back down off out over up", after) && is_order(verb, third);
    is_order(verb, after) || between
}

/// "Before removing the valves", and not "watching the lamp".
fn is_done_beside(word: &Word<'_>, after: &str) -> bool {
    word.low.ends_with("ing")
        && !among(BESIDE, &word.low)
        && among("a all any each every it the them this these your", after)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_second_action_is_seen() {
        for text in [
            "Switch off and pull the plug",
            "Fit the lamp, and then plug it in",
            "Pull the plug; wait for the lamp to go out",
            "Pull the plug. Remove the lid",
            "Loosen the screw then lift the lid",
            "Switch off and wait for a minute",
            "Unplug the set, remove the cover",
            "Take the old lamp out, fit the new one",
            "Loosen the clamp, solder the lead, tighten the clamp",
            "Lift the leg, then measure it",
            "Hook the supply up, jumper both inputs, crank the limit to the stop",
            "Outlet on, then tap the transformer",
            "Lift the chassis before removing the valves",
            "Having lifted the lid, remove the valves",
            "Lift the chassis out & unhook the loudspeaker",
            "1) lift the chassis out 2) unhook the loudspeaker",
            "First lift the chassis out, next unhook the loudspeaker",
            "Lift the chassis out, after that unhook the loudspeaker",
            "Unhook the loudspeaker before you lift the chassis out",
            "Lift the chassis out as well as unhooking the loudspeaker",
            "Hold the chassis, then peel off the label",
            "Hold the chassis - unhook the loudspeaker",
            "Lift the chassis out while unhooking the loudspeaker",
            "Lift the chassis out, at the same time unhook the loudspeaker",
            "Lift the chassis out plus unhook the loudspeaker",
        ] {
            assert!(second_action(text).is_some(), "{text}");
        }
    }

    #[test]
    fn one_action_is_left_alone() {
        for text in [
            "Remove the fuse and switch",
            "Disconnect the red lead and clip from the terminal",
            "Turn both trimmers fully down. They stop hard",
            "Keep the lead and plug within reach",
            "Pull the mains plug, e.g. by its body",
            "Set the meter to volts DC, range 20 V",
            "Lay the top and bottom covers aside",
            "Unplug the secondary from the board, insulating its ends",
            "Turn the control up, slowly, to its stop",
            "Connect the electronic load, set to zero, to the output posts",
            "Switch the limiter on at arm's length, one hand only, face away from the boards",
            "Plug the set into the limiter, which the meter feeds",
            "With the limiter off, plug the set into the limiter",
            "Without touching the lamp, plug the set in",
            "Draw all valves, numbering each socket",
            "Raise the output slowly until the trip acts, watching the meter",
            "Turn the voltage control to zero before the lead is touched",
            "Turn the current limit to 2 and a half",
        ] {
            assert_eq!(second_action(text), None, "{text}");
        }
    }
}
