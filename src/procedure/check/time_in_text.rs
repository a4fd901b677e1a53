//! A time that stands in a step's words and that nothing counts.

use super::words::{Word, among, times, told, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Step};

pub(super) const CHECK: Check =
    Check::new("TXT005", "time-in-text", include_str!("time_in_text.md")).of_procedure(run);

/// The longest time that a person counts by themselves (s). Common practice, no source.
const COUNTED_S: f64 = 10.0;
/// Words before a time that has to pass.
const BEFORE: &str = "after for another over wait within in";
/// Words behind it.
const BEHIND: &str = "after later long in";
/// Words that may stand between.
const BETWEEN: &str = "about at least some the next a another full further good solid";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = subject.procedure.stages.iter();
    let findings = stages.flat_map(|stage| {
        let earlier = [None].into_iter().chain(stage.steps.iter().map(Some));
        earlier.zip(&stage.steps).filter_map(|(earlier, step)| {
            if counts(step) || earlier.is_some_and(counts) {
                return None;
            }
            finding(told(step)?)
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

fn finding(text: &At<String>) -> Option<Finding> {
    let time = waiting(text)?;
    Some(
        CHECK
            .warning(format!("\"{time}\" stands in words, and nothing counts it"))
            .at(text.span)
            .help("put a `wait` before the step, or make it a `watch`"),
    )
}

/// The words of a time that has to pass.
fn waiting(text: &str) -> Option<String> {
    let words = words(text);
    let passing = |(from, to, seconds): (usize, usize, f64)| {
        let is_meant = seconds > COUNTED_S && (is_before(&words, from) || is_behind(&words, to));
        is_meant.then(|| words.get(from..=to)).flatten()
    };
    let named = times(&words).into_iter().find_map(passing);
    let said = |run: &[Word<'_>]| run.iter().map(|word| word.bare).collect::<Vec<_>>().join(" ");
    // "Wait for the lamp to go out" is a look, and "a little" is no time.
    let waits = || words.iter().position(|word| matches!(word.low.as_str(), "wait" | "awhile"));
    let vague =
        || words.windows(2).find(|run| matches!(run, [a, b] if a.low == "a" && b.low == "while"));
    named
        .map(said)
        .or_else(|| vague().map(said))
        .or_else(|| waits().and_then(|at| words.get(at..=at)).map(said))
}

fn is_before(words: &[Word<'_>], from: usize) -> bool {
    let mut earlier = words.iter().take(from).rev().skip_while(|word| among(BETWEEN, &word.low));
    earlier.next().is_some_and(|word| among(BEFORE, &word.low))
}

fn is_behind(words: &[Word<'_>], to: usize) -> bool {
    words.get(to + 1).is_some_and(|word| among(BEHIND, &word.low))
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
        ] {
            assert!(waiting(text).is_some(), "{text}");
        }
        for text in [
            "Lamp in the first five seconds",
            "Set for the first half minute: sound, smell",
            "Driven just into clipping for two seconds",
            "Both outputs, from 50 ns to 5 ms a division",
            "Raise it over its stop",
        ] {
            assert_eq!(waiting(text), None, "{text}");
        }
    }
}
