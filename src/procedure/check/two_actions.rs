//! A `do` step that hides a second action.

use super::words::{is_action, is_order, is_verb, words};
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
    step.r#do.as_ref().map(|own| &own.0).or(set)
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

/// The words that begin a second action.
fn second_action(text: &str) -> Option<String> {
    let words = words(text);
    words.windows(2).zip(words.iter().skip(2).map(Some).chain([None])).find_map(|(pair, after)| {
        let [joint, verb] = pair else { return None };
        let after = after.map_or("", |after| after.low.as_str());
        let begins = match (joint.low.as_str(), joint.ends) {
            (_, Some('.' | ';' | '!')) => is_verb(&verb.low) || is_order(&verb.low, after),
            ("and", _) => verb.low == "then" || is_action(&verb.low, after),
            ("then", _) | (_, Some(',')) => {
                is_action(&verb.low, after) || is_order(&verb.low, after)
            }
            _ => false,
        };
        begins.then(|| format!("{} {}", joint.bare, verb.bare))
    })
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
        ] {
            assert_eq!(second_action(text), None, "{text}");
        }
    }
}
