//! A look or a hint that lets a fault go on.

use super::words::{among, mentions, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Look;
use crate::procedure::{At, Step};

pub(super) const CHECK: Check =
    Check::new("YML012", "harmless-answer", include_str!("harmless_answer.md")).of_procedure(run);

/// What is a fault wherever it is seen.
const FAULTS: &str = "arcing bridged broken bulg burnt burned cracked damag failed faulty frayed leaking loose melted missing scorched \
    shorted smoke smoking sparks stink swollen";
/// Words of what is so at times only, or of what nobody knows.
const AT_TIMES: &str = "sometimes mostly usually often eventually probably perhaps maybe anything whatever unknown untested \
    unchecked intermittently occasionally";
const AT_TIMES_SAID: [&str; 25] = [
    "after a few",
    "after some",
    "after several",
    "after two",
    "after three",
    "few tries",
    "second try",
    "third try",
    "second push",
    "third push",
    "second attempt",
    "most of the time",
    "now and then",
    "now and again",
    "or does not",
    "or not",
    "do not know",
    "don't know",
    "not looked",
    "not checked",
    "not tested",
    "last year",
    "last month",
    "when it is knocked",
    "hardly ever",
];
/// Words that tell of nothing by themselves.
const SMALL: &str =
    "all and are does did for has have its not off one the them then was were will with";
/// Words that turn it round.
const NONE: &str = "free never no none not nothing un without";
/// Answers that tell of nothing wrong.
const SOUND: &str = "fine good normal ok okay sound";
/// How advice begins that lets a fault go on.
const GOES_ON: &str = "accept carry continue go ignore none nothing proceed";
/// Words behind "leave it" that let it be.
const LEFT: &str = "as at be alone";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    subject
        .procedure
        .steps()
        .filter_map(|(_, step)| of_look(step).or_else(|| of_advice(step)))
        .collect()
}

fn of_look(step: &Step) -> Option<Finding> {
    let Look { good, bad, .. } = step.look.as_deref()?;
    let like_a_bad = |say: &At<String>| bad.iter().any(|bad| is_like(say, &bad.say));
    let fault = good.iter().find(|say| shows_a_fault(say) || is_at_times(say) || like_a_bad(say));
    let sound = || bad.iter().map(|bad| &bad.say).find(|say| is_sound(say));
    fault.map(|say| finding(say, "this answer lets a fault pass, and the run goes on")).or_else(
        || sound().map(|say| finding(say, "this answer tells of nothing wrong, and the run stops")),
    )
}

/// Whether an answer tells of a fault before anything turns it round: "a little smoke, then none", and not "nothing burnt, loose
/// or misplaced".
fn shows_a_fault(say: &str) -> bool {
    let pieces = say.split([',', ';', '.']);
    pieces.take_while(|piece| !is_turned(piece)).any(|piece| mentions(piece, FAULTS))
}

/// Whether an answer is good only at times, or is given by somebody who did not look: "trips after a few tries".
fn is_at_times(say: &str) -> bool {
    let low = say.to_lowercase();
    words(say).iter().any(|word| among(AT_TIMES, &word.low))
        || AT_TIMES_SAID.iter().any(|said| low.contains(said))
}

/// Whether an answer holds the words that the other begins with: "an anode glows a little" and "an anode glows red".
fn is_like(say: &str, bad: &str) -> bool {
    let telling = |text: &str| -> Vec<String> {
        let words = words(text).into_iter().map(|word| word.low);
        words.filter(|word| word.chars().count() > 2 && !among(SMALL, word)).collect()
    };
    let (said, other) = (telling(say), telling(bad));
    let begins = other.iter().take(2).filter(|word| said.contains(word)).count();
    is_turned(say) == is_turned(bad) && begins == 2
}

fn is_turned(say: &str) -> bool {
    words(say).iter().any(|word| among(NONE, &word.low))
}

fn is_sound(say: &str) -> bool {
    !is_turned(say)
        && words(say)
            .iter()
            .all(|word| among(SOUND, &word.low) || among("all it looks is", &word.low))
}

fn of_advice(step: &Step) -> Option<Finding> {
    let looks = step.look.iter().flat_map(|look| look.bad.iter().map(|bad| &bad.next));
    let mut advice = looks.chain(step.outside.iter().map(|hint| &hint.next));
    let goes_on = advice.find(|next| lets_go_on(next))?;
    Some(finding(goes_on, "the advice after a fault is to go on"))
}

/// "Note it and go on", "carry on regardless", "leave it", "never mind".
fn lets_go_on(next: &str) -> bool {
    let low = next.to_lowercase();
    let heals = low.contains("by itself") && mentions(next, "will");
    let is_said = heals
        || ["never mind", "and continue", "and proceed"].iter().any(|words| low.contains(words));
    let words = words(next);
    let word = |n: usize| words.get(n).map_or("", |word| word.low.as_str());
    let goes = (0..words.len()).any(|n| {
        let on = among("go carry", word(n)) && word(n + 1) == "on"
            || among("keep", word(n)) && among("going on", word(n + 1));
        on && !(n > 0 && among("not never don't", word(n - 1)))
    });
    let ends = words.get(1).is_some_and(|it| it.ends.is_some() || words.len() == 2);
    let left = word(0) == "leave" && word(1) == "it" && (ends || among(LEFT, word(2)));
    let begins = among(GOES_ON, word(0))
        && (!among("go carry accept", word(0)) || words.len() == 1 || word(1) == "on");
    is_said || goes || left || begins
}

fn finding(at: &At<String>, message: &str) -> Finding {
    CHECK
        .warning(message)
        .at(at.span)
        .help("put what is a fault under `bad`, with its likely cause and what to check next")
}
