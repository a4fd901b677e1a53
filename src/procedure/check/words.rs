//! The words of a step's text: its verbs, its times and its limits, as far as short lists tell them.

use crate::procedure::{At, Step};

/// Verbs of the bench that are seldom anything else.
const VERBS: &str = "adjust attach bolt connect desolder detach discharge disconnect energise energize fasten insert \
    loosen measure pour push put reconnect refit remove replace resolder start take tighten unbolt unclip unplug \
    unscrew verify wait write";
/// Verbs that are as often nouns, as in "the fuse and switch": an action only before one of [`OBJECTS`].
const DOUBTFUL: &str = "apply bring check clamp clean clip close cut fit increase lift lower mark note open plug press pull raise \
    read record reduce release reset screw set short solder strip swap switch tap touch trim turn wind";
/// Words that follow a verb and not a noun.
const OBJECTS: &str =
    "a all an away back both down each every in it off on one out that the them this to up";

/// Words that join clauses or stand before a noun, and begin no order.
const LITTLE: &str = "about above across after against ahead all along also always among an and any around as at away because before \
    behind below beneath beside between both but by down during each either even every except for from half here how if in inside \
    into it its just like minus near neither never next no nor not of off on once one only onto or other out outside over past per plus \
    since so some such than that the their then there these they this those though through till to toward towards under unless \
    until up upon what when where whether which while who whose why with within without you your";
/// Words that stand before what an act is done to.
const BEFORE_A_THING: &str =
    "a all an any both each every it its that the them these this those your";

/// Numbers as they are said.
const NUMBERS: &[(&str, f64)] = &[
    ("half", 0.5),
    ("a", 1.0),
    ("an", 1.0),
    ("one", 1.0),
    ("this", 1.0),
    ("couple", 2.0),
    ("two", 2.0),
    ("few", 3.0),
    ("several", 3.0),
    ("three", 3.0),
    ("four", 4.0),
    ("five", 5.0),
    ("six", 6.0),
    ("eight", 8.0),
    ("ten", 10.0),
    ("twelve", 12.0),
    ("fifteen", 15.0),
    ("twenty", 20.0),
    ("thirty", 30.0),
    ("forty", 40.0),
    ("fifty", 50.0),
    ("sixty", 60.0),
];
/// Units of time, with their seconds.
const TIMES: &[(&str, f64)] = &[
    ("s", 1.0),
    ("sec", 1.0),
    ("secs", 1.0),
    ("second", 1.0),
    ("seconds", 1.0),
    ("min", 60.0),
    ("mins", 60.0),
    ("minute", 60.0),
    ("minutes", 60.0),
    ("h", 3600.0),
    ("hour", 3600.0),
    ("hours", 3600.0),
];

/// One word of a text.
#[derive(Clone, Debug)]
pub(super) struct Word<'a> {
    /// As it is written, without what stands before and after it.
    pub(super) bare: &'a str,
    /// The same in small letters.
    pub(super) low: String,
    /// The mark that ends a clause behind it: one of `, . ; ! :`.
    pub(super) ends: Option<char>,
}

/// The words of a text, in order. A mark that stands by itself counts with the word before it; `&` is "and".
pub(super) fn words(text: &str) -> Vec<Word<'_>> {
    let mut words: Vec<Word<'_>> = Vec::new();
    let pieces = text.split(|c: char| c.is_whitespace() || matches!(c, '(' | ')'));
    for piece in pieces.flat_map(|piece| piece.split_inclusive(['–', '—'])) {
        let keeps = |c: char| c.is_alphanumeric() || matches!(c, '%' | '{' | '}' | '°' | 'Ω' | '&');
        let bare = piece.trim_matches(|c: char| !keeps(c));
        let ends = end_of_clause(piece, !bare.is_empty());
        if bare.is_empty() {
            if let Some(last) = words.last_mut() {
                last.ends = last.ends.or(ends);
            }
        } else {
            let low = if bare == "&" { "and".to_owned() } else { bare.to_lowercase() };
            words.push(Word { bare, low, ends });
        }
    }
    words
}

/// The mark that ends a clause at the end of a piece. A dash or a stroke does so where it stands by itself.
fn end_of_clause(piece: &str, is_word: bool) -> Option<char> {
    match piece.chars().next_back()? {
        mark @ (',' | '.' | ';' | '!' | ':') => Some(mark),
        '?' => Some('.'),
        '—' => Some(';'),
        '-' | '–' | '/' | '•' if !is_word => Some(';'),
        _ => None,
    }
}

/// Whether a word is among those of a list with blanks between.
pub(super) fn among(list: &str, word: &str) -> bool {
    // Most words are no part of the list, which is seen sooner than where its words end.
    list.contains(word) && list.split_ascii_whitespace().any(|listed| listed == word)
}

/// Whether one of these words or beginnings of words stands in a text.
pub(super) fn mentions(text: &str, roots: &str) -> bool {
    may_mention(text, roots)
        && words(text).iter().any(|word| {
            let pieces = word.low.split(|c: char| !c.is_alphanumeric());
            pieces
                .into_iter()
                .any(|piece| roots.split_whitespace().any(|root| piece.starts_with(root)))
        })
}

/// Whether one of these words stands anywhere in a text, also within another one. Most texts hold none of them, and that is
/// seen long before their words are.
pub(super) fn may_mention(text: &str, roots: &str) -> bool {
    let low = text.to_lowercase();
    // It is read as "and".
    low.contains('&') || roots.split_ascii_whitespace().any(|root| low.contains(root))
}

/// Whether a text says anything that could be answered or looked up: "ok" and "as usual" don't.
pub(super) fn says_something(text: &str) -> bool {
    words(text).len() > 2
}

/// Whether the word, followed by that other one, begins an action.
pub(super) fn is_action(word: &str, after: &str) -> bool {
    // "The load, set to zero" is a state.
    let is_state = word == "set" && after == "to";
    among(VERBS, word) || among(DOUBTFUL, word) && among(OBJECTS, after) && !is_state
}

/// Whether a clause that begins with these two words tells to do something, whatever the verb: "crank the limit up".
pub(super) fn is_order(word: &str, after: &str) -> bool {
    let is_bare = || !["ing", "ed", "ly", "s"].iter().any(|end| word.ends_with(end));
    let is_word = || word.chars().all(char::is_alphabetic);
    among(BEFORE_A_THING, after) && !among(LITTLE, word) && is_word() && is_bare()
}

/// Whether a sentence that begins with the word tells to do something.
pub(super) fn is_verb(word: &str) -> bool {
    among(VERBS, word) || among(DOUBTFUL, word)
}

/// A stretch of time that a text names: its first and last word, and its length in seconds.
pub(super) fn times(words: &[Word<'_>]) -> Vec<(usize, usize, f64)> {
    (0..words.len()).filter_map(|at| time_at(words, at)).collect()
}

fn time_at(words: &[Word<'_>], at: usize) -> Option<(usize, usize, f64)> {
    let word = words.get(at)?;
    if at > 0 && words.get(at - 1).is_some_and(|before| before.low == "half") {
        return None; // "half a minute" is one time, from its first word.
    }
    if let Some((number, unit)) = glued(&word.low) {
        return Some((at, at, number * of(TIMES, unit)?));
    }
    if word.low == "quarter" && words.get(at + 3).is_some_and(|last| last.low == "hour") {
        return Some((at, at + 3, 900.0));
    }
    let number = word.low.parse().ok().or_else(|| of(NUMBERS, &word.low))?;
    let skipped =
        words.iter().skip(at + 1).take_while(|word| among("a an more of full whole", &word.low));
    let unit = at + 1 + skipped.count().min(2);
    Some((at, unit, number * of(TIMES, &words.get(unit)?.low)?))
}

/// Whether the word is a number, as figures or as it is said: "five".
pub(super) fn is_number(word: &str) -> bool {
    word.parse::<f64>().is_ok() || of(NUMBERS, word).is_some() && !among("a an this half", word)
}

/// A number with its unit in one word, as `30s`.
fn glued(word: &str) -> Option<(f64, &str)> {
    let unit = word.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
    let number = word.strip_suffix(unit)?.parse().ok()?;
    (!unit.is_empty()).then_some((number, unit))
}

fn of(table: &[(&str, f64)], word: &str) -> Option<f64> {
    table.iter().find(|(known, _)| *known == word).map(|(_, value)| *value)
}

/// The text that says what to do, to read or to look at; none for steps in which a second person acts.
pub(super) fn told(step: &Step) -> Option<&At<String>> {
    let acts = step.r#do.as_ref().map(|act| &act.0).or(step.look.as_ref().map(|act| &act.at));
    let reads =
        step.read.as_ref().map(|read| &read.what).or(step.watch.as_ref().map(|read| &read.what));
    let sets = step.set.as_ref().map(|set| &set.what).or(step.wait.as_ref().map(|set| &set.what));
    let proofs = step.prove_dead.as_ref().map(|prove_dead| &prove_dead.0);
    acts.or(reads).or(sets).or(proofs).or(step.note.as_ref().map(|note| &note.0))
}

/// Whether the step ends in a number that a window judges.
pub(super) fn is_judged(step: &Step) -> bool {
    let window = step.kind().and_then(|kind| kind.window());
    step.compare.is_some() || window.is_some_and(|window| !window.is_record_only())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_seen_as_they_are_said() {
        for (text, seconds) in [
            ("after 5 minutes", 300.0),
            ("after five minutes", 300.0),
            ("wait 30 s", 30.0),
            ("for a minute", 60.0),
            ("half a minute after switch-on", 30.0),
            ("half an hour", 1800.0),
            ("over a quarter of an hour", 900.0),
            ("after two more minutes", 120.0),
            ("30s later", 30.0),
            ("a couple of minutes", 120.0),
        ] {
            let found: Vec<f64> =
                times(&words(text)).iter().map(|(.., seconds_found)| *seconds_found).collect();
            assert_eq!(found.first(), Some(&seconds), "{text}: {found:?}");
        }
        for text in
            ["from 50 ns to 5 ms a division", "once more", "one hand only", "30 V/s", "230 V"]
        {
            assert_eq!(times(&words(text)), [], "{text}");
        }
    }

    #[test]
    fn a_root_is_found_at_the_beginning_of_a_word_alone() {
        assert!(mentions("A reversed part can burst.", "burst explo"));
        assert!(mentions("Rail-to-rail shock", "shock"));
        assert!(!mentions("An earthed set", "heart"));
    }
}
