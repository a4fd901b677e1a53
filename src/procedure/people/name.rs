//! People's names: what can be one.

use std::sync::LazyLock;

use unicode_normalization::UnicodeNormalization;

use super::likeness::{Likeness, is_alike};
use crate::diagnostic::clean;
use crate::record::NameRefusal;

/// Words that are typed in passing, or that the bench takes for something else, and that are nobody's name.
const NO_NAMES: &str = "yes no ok okay done read none attended waived alone help why all note attach handover cannot stop leave clear \
    agree sign off again accept";

/// Words that say that it is nobody, or what somebody is and not who.
const NOBODY: &str = "nobody noone none na nil null nothing anybody anyone somebody someone everybody everyone unknown anonymous \
    unnamed self myself me i you he she him her they them we us same ditto test testing tester name person people human user \
    operator witness colleague coworker workmate mate friend partner guest visitor xx xxx tbd tba tbc todo asdf qwerty \
    supervisor technician apprentice trainee learner helper assistant tech engineer electrician mechanic fitter repairer \
    manager boss foreman owner customer client inspector auditor examiner verifier reader observer watcher releaser admin \
    administrator root staff team member employee worker bench workshop";

/// Words that stand beside them and name nobody either.
const BESIDE: &str = "a an the my our your his their this that some any other another else first second third next new old one two on \
    off duty of in at to be is it not from with and or here there today shop night day shift senior junior head lead chief deputy \
    acting number nr known named present";

/// What the words of a list look like: made once, as names are looked at in every step of a run.
struct LikenessList(LazyLock<Vec<Likeness>>);

impl LikenessList {
    fn has(&self, word: &str) -> bool {
        let word = Likeness::of(word);
        self.0.iter().any(|likeness| likeness.is_that_of(&word))
    }
}

static LIKE_NO_NAMES: LikenessList = LikenessList(LazyLock::new(|| seen(NO_NAMES)));
static LIKE_NOBODY: LikenessList = LikenessList(LazyLock::new(|| seen(NOBODY)));
static LIKE_BESIDE: LikenessList = LikenessList(LazyLock::new(|| seen(BESIDE)));

fn seen(list: &str) -> Vec<Likeness> {
    list.split_whitespace().map(Likeness::of).collect()
}

/// The most characters of a name: more than anybody is called by, and few enough to be shown and compared at once (common practice, no
/// source).
const NAME_MAX: usize = 100;

/// Tells whether a text can be a person's name.
///
/// # Errors
/// Why not.
pub fn person_name(text: &str) -> Result<(), NameRefusal> {
    short_name(text)?;
    written_name(text)?;
    if is_word(text) {
        return Err(NameRefusal::NotAName);
    }
    if clean(text.trim()) != text.trim() {
        return Err(NameRefusal::Unseen);
    }
    if names_nobody(text) {
        return Err(NameRefusal::Nobody);
    }
    if words_of(text).any(mixes_alphabets) {
        return Err(NameRefusal::Alphabets);
    }
    Ok(())
}

/// Tells whether a text says that it is nobody, or what somebody is: "the supervisor", "Technician 2", "a colleague".
fn names_nobody(text: &str) -> bool {
    let is_nobody = |word: &str| {
        LIKE_NOBODY.has(word.trim_end_matches(|c: char| c.is_ascii_digit()))
            || LIKE_NOBODY.has(word)
    };
    let is_empty = |at: usize, word: &str| {
        let is_letter = at > 0 && word.chars().count() == 1;
        is_letter || word.chars().all(char::is_numeric) || LIKE_BESIDE.has(word)
    };
    let words: Vec<&str> = words_of(text).collect();
    let is_of_them = |(at, word): (usize, &&str)| is_nobody(word) || is_empty(at, word);
    is_nobody(text)
        || words.iter().any(|word| is_alike("nobody", word))
        || words.iter().any(|word| is_nobody(word)) && words.iter().enumerate().all(is_of_them)
}

fn words_of(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty())
}

/// Tells whether a word has Latin letters and others: it then looks like a name that it is not.
fn mixes_alphabets(word: &str) -> bool {
    let letters = || word.nfkd().filter(|c| c.is_alphabetic());
    letters().any(is_latin) && !letters().all(is_latin)
}

/// The Latin letters that names are written in, and the signs that stand among them (Unicode blocks up to IPA Extensions, modifier
/// letters for the okina and its kin, and Latin Extended Additional).
fn is_latin(letter: char) -> bool {
    matches!(letter,
        'A'..='Z' | 'a'..='z' | '\u{c0}'..='\u{2af}' | '\u{2b9}'..='\u{2c1}' | '\u{1e00}'..='\u{1eff}')
}

/// Tells whether a text is short enough for a name, or for an identity.
///
/// # Errors
/// Why not.
pub(in crate::procedure) fn short_name(text: &str) -> Result<(), NameRefusal> {
    match text.trim().chars().nth(NAME_MAX) {
        Some(_) => Err(NameRefusal::TooLong { most: NAME_MAX }),
        None => Ok(()),
    }
}

/// Tells whether a text could be a name in records of versions before 0.3, which took a word for nobody as one.
///
/// # Errors
/// Why not.
pub fn written_name(text: &str) -> Result<(), NameRefusal> {
    let count = text.chars().filter(|c| c.is_alphabetic()).count();
    let typed = identity(text);
    if count < 2 || NO_NAMES.split_whitespace().any(|word| word == typed) {
        return Err(NameRefusal::NotAName);
    }
    Ok(())
}

/// Tells whether a text is, or looks like, a word that the bench takes for something else than a name.
pub(in crate::procedure) fn is_word(text: &str) -> bool {
    LIKE_NO_NAMES.has(text)
}

/// A role or a class as it is compared, and a name as it was up to 0.2: letter case, spacing and signs do not make another one.
#[must_use]
pub fn identity(name: &str) -> String {
    name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::{person_name, written_name};

    #[test]
    fn a_short_name_is_one_and_a_word_typed_in_passing_is_none() {
        for name in ["Bo", " Li ", "Ali", "Al", "Kim Bench-Test (invented)", "Åsa", "Лена Тест"]
        {
            assert!(person_name(name).is_ok(), "`{name}`");
        }
        for word in [
            "",
            "--",
            "x",
            "7",
            "12 34",
            "OK",
            "o.k.",
            "yes",
            " Done ",
            "Stop",
            "hand over",
            "leave",
            "alone",
        ] {
            assert!(person_name(word).is_err(), "`{word}`");
            assert!(written_name(word).is_err(), "`{word}`");
        }
    }

    #[test]
    fn a_name_longer_than_anybody_s_is_none() {
        for letter in ["a", "\u{e5}", "\u{43b}"] {
            assert!(person_name(&format!(" {} ", letter.repeat(100))).is_ok(), "{letter}");
            let reason = person_name(&letter.repeat(101)).expect_err("it is too long");
            assert_eq!(reason.to_string(), "type a name of at most 100 characters");
        }
        assert!(person_name(&"Kim ".repeat(20_000)).is_err());
        assert!(
            written_name(&"Kim ".repeat(50)).is_ok(),
            "records of earlier versions may have it"
        );
    }

    #[test]
    fn a_word_for_nobody_is_no_name_however_it_is_written() {
        for word in [
            "nobody",
            "Nobody There",
            "there is nobody",
            "no one",
            "N/A",
            "n.a.",
            "me",
            "MYSELF",
            "Self",
            "test",
            "xxx",
            "n\u{43e}b\u{43e}dy",
            "\u{ff4e}\u{ff4f}\u{ff42}\u{ff4f}\u{ff44}\u{ff59}",
            "n\u{f3}body",
            "Supervisor",
            "the supervisor",
            "SUPERVISOR 2",
            "Technician1",
            "Technician A",
            "A Colleague",
            "another colleague",
            "Unknown Person",
            "Person unknown",
            "Same person",
            "the same",
            "TBD",
            "t.b.d.",
            "Witness",
            "bench technician on duty",
            "\u{a731}\u{1d1c}\u{1d18}\u{1d07}\u{280}\u{1d20}\u{26a}\u{a731}\u{1d0f}\u{280}",
            "\u{1d412}\u{1d42e}\u{1d429}\u{1d41e}\u{1d42b}\u{1d42f}\u{1d422}\u{1d42c}\u{1d428}\u{1d42b}",
            "super\u{200b}visor",
        ] {
            assert!(person_name(word).is_err(), "`{word}`");
        }
        for name in ["J. Foreman", "Kim Supervisor", "Mate Novak", "Theo Second", "Otto 2"] {
            assert!(person_name(name).is_ok(), "`{name}`");
        }
        assert!(written_name("nobody").is_ok(), "records of earlier versions may have it");
    }
    #[test]
    fn letters_that_pass_for_others_or_cannot_be_seen_make_no_name() {
        for name in [
            "K\u{456}m Bench-Test",
            "Kim \u{412}ench",
            "\u{13e6}im",
            "Kim\u{200b} Bench",
            "Kim \u{202e}hcneB",
            "\u{3164}\u{3164}",
            "Kim\u{ad}",
        ] {
            assert!(person_name(name).is_err(), "`{}`", name.escape_unicode());
            assert!(written_name(name).is_ok(), "records of earlier versions may have it");
        }
        for name in [
            "Zo\u{eb} \u{141}ukasz-Nu\u{f1}ez",
            "K\u{254}fi",
            "\u{41b}\u{435}\u{43d}\u{430} (Lena)",
            "\u{3a3}\u{3af}\u{3b1} \u{39d}\u{3af}\u{3ba}\u{3b7}",
            "Ka\u{2bb}ahumanu",
            "\u{5f20}\u{4f1f}",
        ] {
            assert!(person_name(name).is_ok(), "`{name}`");
        }
    }
}
