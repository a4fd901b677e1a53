//! An act that hides where nobody ticks it off: in the words of a reading, or in a notice.

use super::words::{Word, among, is_action, told, words};
use super::wrong_signal_word::notices;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Hazard};

pub(super) const CHECK: Check =
    Check::new("TXT007", "act-in-a-reading", include_str!("act_in_a_reading.md")).of_procedure(run);

/// Acts that a notice has no business to tell: they are steps.
const STEPS: &str = "adjust attach connect desolder discharge disconnect energise energize insert measure plug refit replace \
    solder switch unsolder";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let steps = subject.procedure.steps().map(|(_, step)| step);
    let reads = steps.filter(|step| {
        step.read.is_some()
            || step.watch.is_some()
            || step.look.is_some()
            || step.prove_dead.is_some()
    });
    let reads = reads.filter_map(|step| of_reading(told(step)?));
    reads.chain(notices(subject.procedure).filter_map(of_notice)).collect()
}

fn of_reading(text: &At<String>) -> Option<Finding> {
    let words = words(text);
    let begins = words.first().is_some_and(|first| {
        let after = words.get(1).map_or("", |word| word.low.as_str());
        !among("measure read", &first.low) && is_action(&first.low, after)
    });
    begins.then(|| finding(text, "the reading begins with an act"))
}

fn of_notice(hazard: &Hazard) -> Option<Finding> {
    [&hazard.risk, &hazard.result, &hazard.avoid]
        .into_iter()
        .find(|text| is_step(&words(text)))
        .map(|text| finding(text, "the notice holds a step"))
}

/// Whether a clause begins with an act of its own: not "never connect", not "off and plug out if you have to leave".
fn is_step(words: &[Word<'_>]) -> bool {
    let starts = [None].into_iter().chain(words.iter().map(Some)).zip(words);
    let mut acts = starts.zip(words.iter().skip(1)).filter(|((before, word), after)| {
        let begins = before.is_none_or(|word| word.ends.is_some() || among("then and", &word.low));
        let is_off =
            word.low == "switch" && after.low != "on" || word.low == "plug" && after.low == "out";
        begins && among(STEPS, &word.low) && is_action_before(&word.low, &after.low) && !is_off
    });
    acts.next().is_some()
}

/// As [`is_action`], with "connect the supply" and "solder it" besides.
fn is_action_before(word: &str, after: &str) -> bool {
    is_action(word, after) && !among("slowly gently only", after)
}

fn finding(text: &At<String>, message: &str) -> Finding {
    CHECK.warning(message).at(text.span).help(
        "make a `do` or a `set` of it: what is not a step is done by some people, and nobody confirms it",
    )
}
