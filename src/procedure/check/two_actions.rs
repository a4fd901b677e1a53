//! A `do` step that hides a second action.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::At;

pub(super) const CHECK: Check =
    Check::new("TXT002", "two-actions", include_str!("two_actions.md")).of_procedure(run);

/// Verbs of the bench that are seldom anything else.
const VERBS: &str = "adjust connect desolder discharge disconnect insert loosen measure push put reconnect refit remove \
    replace solder take tighten unplug unscrew verify wait write";
/// Verbs that are as often nouns, as in "the fuse and switch": an action only before one of [`OBJECTS`].
const DOUBTFUL: &str = "apply check clean clip close fit lift lower note open plug press pull raise read set short switch touch turn";
/// Words that follow a verb and not a noun.
const OBJECTS: &str = "a all an away back both down each every in it off on out the them this up";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let steps = subject.procedure.steps();
    steps.filter_map(|(_, step)| finding(&step.r#do.as_ref()?.0)).collect()
}

fn finding(text: &At<String>) -> Option<Finding> {
    let second = second_action(text)?;
    Some(
        CHECK
            .warning(format!("this looks like two actions: \"{second}\" begins the second"))
            .at(text.span)
            .help("make a step of each, so that each is done and ticked off by itself"),
    )
}

/// The words that begin a second action.
fn second_action(text: &str) -> Option<String> {
    let words: Vec<String> = text.split_whitespace().map(str::to_lowercase).collect();
    words.windows(2).zip(words.iter().skip(2).map(Some).chain([None])).find_map(|(pair, after)| {
        let [joint, word] = pair else { return None };
        let verb = bare(word);
        let after = after.map(|after| bare(after)).unwrap_or_default();
        let begins = match joint.as_str() {
            "and" => verb == "then" || is_action(verb, after),
            "then" => is_action(verb, after),
            _ => joint.ends_with(['.', ';', '!']) && is_verb(verb),
        };
        begins.then(|| format!("{joint} {verb}"))
    })
}

fn bare(word: &str) -> &str {
    word.trim_matches(|c: char| !c.is_alphanumeric())
}

fn is_verb(word: &str) -> bool {
    among(VERBS, word) || among(DOUBTFUL, word)
}

fn is_action(word: &str, after: &str) -> bool {
    among(VERBS, word) || among(DOUBTFUL, word) && among(OBJECTS, after)
}

fn among(words: &str, word: &str) -> bool {
    words.split_whitespace().any(|own| own == word)
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
        ] {
            assert_eq!(second_action(text), None, "{text}");
        }
    }
}
