//! The clauses of a text: what each tells to do, and what a "not" turns round.

use super::families::{ASIDES, LEADS};
use super::words::{Word, among, is_action, is_order, words};

/// Words behind which nothing is told to be done.
const REFUSALS: &str =
    "not never don't don’t cannot can't can’t mustn't mustn’t nor neither nobody no-one";
/// What turns a refusal into an order again: "do not forget to".
const AFTER_ALL: &str = "forget fail omit hesitate only";
/// What ties a verb to what stands before it, besides [`LEADS`].
const TIES: &str = "to and or but step";
/// Words that begin a clause of what was done before, besides [`ASIDES`].
const EARLIER: &str = "having after before once";
/// Words before a participle of what is done all the same: "having plugged it in", "while holding the probe".
const DOES: &str = "having after while when by once";
/// How a clause begins in which something was done: "once you have plugged it in".
const HAS_DONE: &str = "once after when if as";
/// Verbs with which somebody else is made to do it: "have a colleague plug it in".
const CAUSES: &str = "have let get make ask tell want";
/// How it is told of a second person what they do: "has a hand on the outlet and switches it on".
const OF_A_SECOND: &str =
    "has stays stands keeps holds watches looks waits says sits goes listens hears";
/// Who does it, where it is told of a second person.
const PERSONS: &str =
    "colleague somebody someone person operator technician supervisor assistant helper he she who";
/// Words between a verb and what it is done to.
const DETERMINERS: &str =
    "a all an any both each every it its one that the them these this those your";

/// A clause in small letters.
#[derive(Clone, Debug)]
pub(super) struct Clause {
    words: Vec<String>,
    /// How many of its words no "not" stands before.
    told: usize,
}

/// What a clause tells to do: the verb and what stands behind it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Instruction<'a> {
    pub(super) verb: &'a str,
    /// It stands as a participle: "plugging", "plugged".
    is_participle: bool,
    pub(super) rest: &'a [String],
}

impl Clause {
    fn new(words: Vec<String>, is_refused: bool) -> Self {
        let not = words.iter().enumerate().position(|(n, word)| {
            let again = words.get(n + 1).is_some_and(|next| among(AFTER_ALL, next));
            among(REFUSALS, word) && !again
        });
        let told = if is_refused { 0 } else { not.unwrap_or(words.len()) };
        Self { words, told }
    }

    /// All of its words, refused or not.
    pub(super) fn words(&self) -> &[String] {
        &self.words
    }

    /// Its words before any "not".
    pub(super) fn told(&self) -> &[String] {
        self.words.get(..self.told).unwrap_or_default()
    }

    /// What it tells to do. Verbs of a second person count too: "switches the outlet on".
    pub(super) fn acts(&self) -> impl Iterator<Item = Instruction<'_>> {
        self.told().iter().enumerate().filter_map(|(n, word)| {
            // "The buzz of the loudspeaker" is a thing.
            if self.words.get(n + 1).is_some_and(|next| next == "of") {
                return None;
            }
            let is_participle = self.is_done(n, word);
            let verb = if is_participle {
                word
            } else if self.begins(n) {
                base(word, n == 0 || self.is_of_a_second_person(n))
            } else {
                third_person(word).filter(|_| self.has_a_person_before(n))?
            };
            Some(Instruction { verb, is_participle, rest: self.words.get(n + 1..)? })
        })
    }

    /// "Having plugged", "once you have plugged", "plugging the set in".
    fn is_done(&self, n: usize, word: &str) -> bool {
        let first = self.words.first().map_or("", String::as_str);
        let leads = match n.checked_sub(1).and_then(|n| self.words.get(n)) {
            Some(before) => among(DOES, before) || before == "have" && among(HAS_DONE, first),
            None => self.words.get(1).is_some_and(|next| among(DETERMINERS, next)),
        };
        // "Bring" is none.
        let is_doing = word
            .strip_suffix("ing")
            .is_some_and(|stem| stem.contains(['a', 'e', 'i', 'o', 'u', 'y']));
        leads && (is_doing || n > 0 && word.ends_with("ed"))
    }

    /// "Has a hand on the outlet and switches it on".
    fn is_of_a_second_person(&self, n: usize) -> bool {
        let before = n.checked_sub(1).and_then(|n| self.words.get(n));
        before.is_some_and(|before| before == "and")
            && self.words.first().is_some_and(|first| among(OF_A_SECOND, first))
    }

    /// "A colleague switches", and not "the oscilloscope probes".
    fn has_a_person_before(&self, n: usize) -> bool {
        self.words.iter().take(n).any(|word| among(PERSONS, word))
    }

    fn begins(&self, n: usize) -> bool {
        let Some(before) = n.checked_sub(1).and_then(|n| self.words.get(n)) else { return true };
        let is_numbered = before.chars().all(|c| c.is_ascii_digit());
        let first = self.words.first().map_or("", String::as_str);
        let is_aside = n > 1 && (among(ASIDES, first) || among(EARLIER, first));
        let does_it = self.words.get(n + 1).is_some_and(|next| among(DETERMINERS, next));
        let is_made_to = n > 1 && among(CAUSES, first) && among(PERSONS, before);
        among(LEADS, before)
            || among(TIES, before)
            || is_made_to
            || before.ends_with("ly")
            || does_it && (is_numbered || is_aside)
    }
}

impl Instruction<'_> {
    /// Whether its verb is one of these.
    pub(super) fn is(&self, verbs: &str) -> bool {
        let is_form = |form: &str| self.is_participle && is_participle_of(self.verb, form);
        among(verbs, self.verb) || verbs.split_whitespace().any(is_form)
    }

    /// Whether it is told as something that is done beside another act, or was done before it.
    pub(super) fn is_beside(&self) -> bool {
        self.is_participle
    }

    pub(super) fn names(&self, words: &str) -> bool {
        any(self.rest, words)
    }
}

/// Whether one of the acts that a text tells of is such.
pub(super) fn tells(text: &str, is: impl Fn(&Instruction<'_>) -> bool) -> bool {
    clauses(text).iter().any(|clause| clause.acts().any(|act| is(&act)))
}

/// Whether one of the words is among those of a list with blanks between; of a word with a dash a part is enough.
pub(super) fn any(words: &[String], list: &str) -> bool {
    words.iter().any(|word| is(word, list))
}

/// Whether the word, or a part of it before or behind a dash, is among those of a list.
pub(super) fn is(word: &str, list: &str) -> bool {
    among(list, word) || word.contains('-') && word.split('-').any(|part| among(list, part))
}

/// The clauses of a text. A "not" goes on behind an "and" or an "or", and ends with its sentence.
pub(super) fn clauses(text: &str) -> Vec<Clause> {
    let words = words(text);
    let mut clauses: Vec<Clause> = Vec::new();
    let (mut told, mut carried) = (Vec::new(), false);
    for (n, word) in words.iter().enumerate() {
        let behind = words.get(n + 1..).unwrap_or_default();
        let joins = among("and then or but nor", &word.low) && begin_an_act(behind);
        if !joins {
            told.push(plain(&word.low).to_owned());
        }
        if !told.is_empty() && (joins || word.ends.is_some() || behind.is_empty()) {
            let clause = Clause::new(std::mem::take(&mut told), carried);
            carried = joins && word.low != "but" && clause.told < clause.words.len();
            clauses.push(clause);
        }
    }
    clauses
}

/// Whether these words begin with an act.
fn begin_an_act(words: &[Word<'_>]) -> bool {
    let mut behind = words.iter().skip_while(|word| {
        among(LEADS, &word.low)
            || among(TIES, &word.low)
            || word.low.ends_with("ly")
            || among("do not never don't", &word.low)
    });
    let verb = behind.next().map_or("", |word| word.low.as_str());
    let after = behind.next().map_or("", |word| word.low.as_str());
    is_action(verb, after) || is_order(verb, after)
}

/// A word without the end that makes it an owner: "the outlet's switch".
fn plain(word: &str) -> &str {
    let owner = word.strip_suffix("'s").or_else(|| word.strip_suffix("’s"));
    owner.unwrap_or(word).trim_end_matches(['\'', '’'])
}

/// A verb as it is told to a person, where it is told of one at the beginning: "switches".
fn base(word: &str, is_first: bool) -> &str {
    if is_first { third_person(word).unwrap_or(word) } else { word }
}

/// The verb of "switches", "plugs": none where the word has another form.
fn third_person(word: &str) -> Option<&str> {
    let sibilant = word.strip_suffix("es").filter(|stem| stem.ends_with(['h', 's', 'x', 'z']));
    sibilant
        .or_else(|| word.strip_suffix('s').filter(|stem| stem.len() > 2 && !stem.ends_with('s')))
}

/// Whether the word is the participle of a regular verb: "plugging" and "plugged" of "plug".
fn is_participle_of(word: &str, verb: &str) -> bool {
    let Some(stem) = word.strip_suffix("ing").or_else(|| word.strip_suffix("ed")) else {
        return false;
    };
    let doubled = || stem.strip_prefix(verb).is_some_and(|end| verb.ends_with(end));
    stem == verb || verb.strip_suffix('e') == Some(stem) || doubled()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: &str) -> Vec<String> {
        clauses(text).iter().map(|clause| clause.told().join(" ")).collect()
    }

    #[test]
    fn a_refusal_ends_with_its_clause_and_goes_on_behind_an_and() {
        for (text, due) in [
            ("Do not plug it in", vec!["do"]),
            ("Do not touch the lamp, plug it in", vec!["do", "plug it in"]),
            ("Do not lift the lid and plug it in", vec!["do", ""]),
            ("Do not touch the lamp but plug it in", vec!["do", "plug it in"]),
            (
                "Without touching the lamp, plug it in",
                vec!["without touching the lamp", "plug it in"],
            ),
            ("Do not forget to plug it in", vec!["do not forget to plug it in"]),
            ("Turn the outlet's switch on", vec!["turn the outlet switch on"]),
            ("Disconnect the fuse and switch", vec!["disconnect the fuse and switch"]),
        ] {
            assert_eq!(told(text), due, "{text}");
        }
    }

    #[test]
    fn acts_begin_clauses_and_stand_behind_what_leads_to_them() {
        let verbs = |text: &str| -> Vec<String> {
            let all = clauses(text);
            all.iter().flat_map(Clause::acts).map(|act| act.verb.to_owned()).collect()
        };
        for (text, verb) in [
            ("Now plug it in", "plug"),
            ("Carefully plug it in", "plug"),
            ("2) plug it in", "plug"),
            ("Without touching the lamp plug the set in", "plug"),
            ("A colleague switches the outlet on", "switch"),
            ("Plugs the set in while you watch", "plug"),
        ] {
            assert!(verbs(text).contains(&verb.to_owned()), "{text}: {:?}", verbs(text));
        }
        for (text, verb) in [
            ("Having plugged it in, stand back", "plug"),
            ("Once you have bridged the fuse, look", "bridge"),
            ("Plugging the set in, listen", "plug"),
            ("Read it while holding the probe", "hold"),
            ("Have a colleague plug it in", "plug"),
            ("Has a hand on the outlet and switches it on", "switch"),
        ] {
            let told = |clause: &Clause| clause.acts().any(|act| act.is(verb));
            assert!(clauses(text).iter().any(told), "{text}");
        }
        for text in
            ["Shorting plugs in every input", "Before plugging it in, look", "The plugged socket"]
        {
            let told = |clause: &Clause| clause.acts().any(|act| act.is("plug short"));
            assert!(!clauses(text).iter().any(told), "{text}");
        }
        assert!(!verbs("Line pin of the plug to the terminal").contains(&"plug".to_owned()));
        assert!(!verbs("See that nobody plugs it in").contains(&"plug".to_owned()));
    }
}
