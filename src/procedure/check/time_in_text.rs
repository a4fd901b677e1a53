//! A time that stands in a step's words and that nothing counts.

use super::clause::clauses;
use super::words::{Word, among, is_number, times, told, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Step};

pub(super) const CHECK: Check =
    Check::new("TXT005", "time-in-text", include_str!("time_in_text.md")).of_procedure(run);

/// The longest time that a person counts by themselves (s). Common practice, no source.
const COUNTED_S: f64 = 10.0;
/// Words before a time that has to pass.
const BEFORE: &str =
    "after for another over wait within in once until till give leave let allow takes";
/// Words behind it.
const BEHIND: &str = "after later long in";
/// Words that may stand between.
const BETWEEN: &str = "about at least some the next a another full further good solid";

/// Times without a number.
const VAGUE: &str = "wait awhile overnight tomorrow";
const VAGUE_PAIRS: [(&str, &str); 13] = [
    ("good", "while"),
    ("after", "lunch"),
    ("hang", "on"),
    ("stood", "a"),
    ("a", "while"),
    ("count", "to"),
    ("next", "morning"),
    ("next", "day"),
    ("day", "after"),
    ("some", "time"),
    ("over", "night"),
    ("over", "lunch"),
    ("all", "night"),
];
/// What goes on by itself while time passes.
const PASSES: &str = "cool warm settle soak dry discharge drain stand rest form reform recover stabilise stabilize bleed";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = subject.procedure.stages.iter();
    let findings = stages.flat_map(|stage| {
        let earlier = [None].into_iter().chain(stage.steps.iter().map(Some));
        earlier.zip(&stage.steps).filter_map(|(earlier, step)| {
            if counts(step) || earlier.is_some_and(counts) {
                return None;
            }
            finding(told(step)?, step.r#do.is_some() || step.set.is_some())
        })
    });
    findings.collect()
}

/// Whether the program itself counts time in the step.
fn counts(step: &Step) -> bool {
    step.wait.is_some()
        || step.watch.is_some()
        || step.note.is_some()
        || step.set.as_ref().is_some_and(|set| set.over.is_some())
}

fn finding(text: &At<String>, is_act: bool) -> Option<Finding> {
    let time = waiting(text, is_act)?;
    Some(
        CHECK
            .warning(format!("\"{time}\" stands in words, and nothing counts it"))
            .at(text.span)
            .help("put a `wait` before the step, or make it a `watch`"),
    )
}

/// The words of a time that has to pass. In an act a time is hardly anything else.
fn waiting(text: &str, is_act: bool) -> Option<String> {
    let words = words(text);
    let said = |run: &[Word<'_>]| run.iter().map(|word| word.bare).collect::<Vec<_>>().join(" ");
    let passing = |(from, to, seconds): (usize, usize, f64)| {
        let first =
            from.checked_sub(1).and_then(|n| words.get(n)).is_some_and(|word| word.low == "first");
        let passes = is_before(&words, from) || is_behind(&words, to) || is_act && !first;
        if seconds > COUNTED_S && passes { words.get(from..=to) } else { None }
    };
    let named = || times(&words).into_iter().find_map(passing);
    // "Wait for the lamp to go out" is a look, and "a little" is no time.
    let single = || words.windows(1).find(|run| run.iter().any(|word| among(VAGUE, &word.low)));
    let pair = || {
        words.windows(2).find(|run| {
            let [one, two] = run else { return false };
            VAGUE_PAIRS.contains(&(one.low.as_str(), two.low.as_str()))
        })
    };
    if let Some(run) = named().or_else(|| bare(&words)).or_else(pair).or_else(single) {
        return Some(said(run));
    }
    if is_act { left_alone(text) } else { None }
}

/// "Let the set warm up": a time that stands in no words at all.
fn left_alone(text: &str) -> Option<String> {
    let clauses = clauses(text);
    let mut acts = clauses.iter().flat_map(|clause| clause.acts().collect::<Vec<_>>());
    let act = acts.find(|act| {
        // "Give it five" counts nothing, and "five drops" are none.
        let counted = act.rest.last().is_some_and(|last| is_number(last));
        act.is("let leave allow") && act.names(PASSES)
            || act.is("give leave let allow") && (counted || act.names("time"))
    })?;
    Some(format!("{} {}", act.verb, act.rest.join(" ")))
}

/// "After five" and nothing behind it.
fn bare<'a, 'b>(words: &'b [Word<'a>]) -> Option<&'b [Word<'a>]> {
    words.windows(2).enumerate().find_map(|(n, pair)| {
        let [after, number] = pair else { return None };
        let ends = number.ends.is_some() || n + 2 == words.len();
        (after.low == "after" && ends && is_number(&number.low)).then_some(pair)
    })
}

fn is_before(words: &[Word<'_>], from: usize) -> bool {
    let mut earlier = words.iter().take(from).rev().skip_while(|word| among(BETWEEN, &word.low));
    earlier.next().is_some_and(|word| among(BEFORE, &word.low))
}

fn is_behind(words: &[Word<'_>], to: usize) -> bool {
    let is_last = words.len() == to + 2;
    words.get(to + 1).is_some_and(|word| {
        among(BEHIND, &word.low) || word.low == "on" && (is_last || word.ends.is_some())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_that_has_to_pass_is_told_from_one_that_is_looked_at() {
        for text in [
            "Rail, after five minutes",
            "Leave it on for a minute",
            "Heatsink half a minute after switch-on",
            "Wait until the lamp is out",
            "Let it cool for a while",
            "Output 30 s later",
            "Plug it in once the valves have cooled for a good quarter of an hour",
            "HT once 10 min have passed",
            "HT, after it has stood overnight",
            "Anodes two or three minutes on",
        ] {
            assert!(waiting(text, false).is_some(), "{text}");
        }
        for text in [
            "Let the chassis cool a quarter of an hour",
            "Give the capacitors a few minutes",
            "Leave it till the next morning",
            "Let the set warm up",
            "Count to sixty",
        ] {
            assert!(waiting(text, true).is_some(), "{text}");
        }
        for text in
            ["Leave the lid where it is", "Let go of the plug", "Turn it in the first half minute"]
        {
            assert_eq!(waiting(text, true), None, "{text}");
        }
        for text in [
            "Lamp in the first five seconds",
            "Set for the first half minute: sound, smell",
            "Driven just into clipping for two seconds",
            "Both outputs, from 50 ns to 5 ms a division",
            "Raise it over its stop",
        ] {
            assert_eq!(waiting(text, false), None, "{text}");
        }
    }
}
