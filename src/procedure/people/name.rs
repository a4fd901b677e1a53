//! People's names: what can be one, and when two are the same person's.

use unicode_normalization::UnicodeNormalization;

/// Words that are typed in passing, or that the bench takes for something else, and that are nobody's name.
const NO_NAMES: [&str; 25] = [
    "yes", "no", "ok", "okay", "done", "read", "none", "attended", "waived", "alone", "help",
    "why", "all", "note", "attach", "handover", "cannot", "stop", "leave", "clear", "agree",
    "sign", "off", "again", "accept",
];

/// Words that say that it is nobody, or nobody in particular.
const NOBODY: [&str; 37] = [
    "nobody",
    "noone",
    "none",
    "na",
    "nil",
    "null",
    "nothing",
    "anybody",
    "anyone",
    "somebody",
    "someone",
    "everybody",
    "everyone",
    "unknown",
    "anonymous",
    "self",
    "myself",
    "me",
    "you",
    "him",
    "her",
    "same",
    "ditto",
    "test",
    "testing",
    "tester",
    "name",
    "person",
    "user",
    "operator",
    "witness",
    "colleague",
    "xx",
    "xxx",
    "tbd",
    "asdf",
    "qwerty",
];

/// Letters that look like a Latin one as they are written, with that one: of the Greek and Cyrillic alphabets, and Latin ones that do
/// not come apart into a letter and an accent. Common practice, no source: the pairs that a reader can't tell apart in a plain
/// typeface. Letters of one alphabet that people tell apart stand at different ones.
const LOOK_ALIKES: [(char, &str); 26] = [
    ('a', "аАΑαɑ"),
    ('b', "вВΒβ"),
    ('c', "сСϲϹ"),
    ('d', "ԁđðĐÐ"),
    ('e', "еЕΕε"),
    ('f', "ƒ"),
    ('g', "ɡԍԌ"),
    ('h', "һҺнНΗ"),
    ('i', "іιı"),
    ('j', "јЈȷ"),
    ('k', "кКκΚ"),
    ('l', "ӏłŁ"),
    ('m', "мМΜ"),
    ('n', "пηΝŋ"),
    ('o', "оОοΟøØ0օ"),
    ('p', "рРρΡ"),
    ('q', "ԛ"),
    ('r', "г"),
    ('s', "ѕЅ"),
    ('t', "тТτΤ"),
    ('u', "սυμ"),
    ('v', "ѵνѴ"),
    ('w', "ԝωԜ"),
    ('x', "хХχΧ"),
    ('y', "уУүҮγΥ"),
    ('z', "ᴢƶƵΖ"),
];

/// What is read as a small l or as a capital I, as nobody can tell which of the two it is.
const UPRIGHT: [char; 7] = ['l', 'I', 'І', 'Ι', 'Ӏ', '1', '|'];

/// The most characters of a name: more than anybody is called by, and few enough to be shown and compared at once (common practice, no
/// source).
const NAME_MAX: usize = 100;

/// Tells whether a text can be a person's name.
///
/// # Errors
/// What to type instead.
pub fn person_name(text: &str) -> Result<(), String> {
    short_name(text)?;
    written_name(text)?;
    if is_word(text) {
        return Err(NO_NAME.to_owned());
    }
    let mut words = text.split(|c: char| !c.is_alphanumeric());
    if NOBODY.iter().any(|own| is_alike(own, text)) || words.any(|own| is_alike(own, "nobody")) {
        return Err("that names nobody: type the person's name".to_owned());
    }
    Ok(())
}

/// Tells whether a text is short enough for a name, or for an identity.
///
/// # Errors
/// What to type instead.
pub(in crate::procedure) fn short_name(text: &str) -> Result<(), String> {
    match text.trim().chars().nth(NAME_MAX) {
        Some(_) => Err(format!("type a name of at most {NAME_MAX} characters")),
        None => Ok(()),
    }
}

/// Tells whether a text could be a name in records of versions before 0.3, which took a word for nobody as one.
///
/// # Errors
/// What to type instead.
pub fn written_name(text: &str) -> Result<(), String> {
    let count = text.chars().filter(|c| c.is_alphabetic()).count();
    if count < 2 || NO_NAMES.contains(&identity(text).as_str()) {
        return Err(NO_NAME.to_owned());
    }
    Ok(())
}

const NO_NAME: &str = "type the person's name";

/// Tells whether a text is, or looks like, a word that the bench takes for something else than a name.
pub(in crate::procedure) fn is_word(text: &str) -> bool {
    NO_NAMES.iter().any(|own| is_alike(own, text))
}

/// A role or a class as it is compared, and a name as it was up to 0.2: letter case, spacing and signs do not make another one.
#[must_use]
pub fn identity(name: &str) -> String {
    name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// Tells whether two names are one person's, as far as a reader can tell: whether each letter of the one is that of the other, or looks
/// like it on a screen. Letter case, spacing, signs, accents, full-width letters and letters of another alphabet of the same shape
/// make no other name. A capital I, a small l and a 1 look alike; a small i and an l don't, so Ela and Eia are two people. What
/// has no letters is nobody's name.
#[must_use]
pub fn is_alike(one: &str, other: &str) -> bool {
    Likeness::of(one).is_that_of(&Likeness::of(other))
}

/// What a name looks like.
pub(in crate::procedure) struct Likeness(Vec<Letter>);

/// A letter of a name.
#[derive(Clone, Copy)]
struct Letter {
    /// Which letter it is, whatever its case.
    own: char,
    /// What it looks like as it is written.
    shape: char,
}

impl Likeness {
    pub(in crate::procedure) fn of(name: &str) -> Self {
        let letters = name.nfkd().filter(|c| c.is_alphanumeric() || *c == '|');
        Self(letters.map(Letter::of).collect())
    }

    /// Tells whether a reader takes the one for the other.
    pub(in crate::procedure) fn is_that_of(&self, other: &Self) -> bool {
        let is_alike = |(one, other): (&Letter, &Letter)| one.is_like(*other);
        let is_as_long = self.0.len() == other.0.len();
        !self.0.is_empty() && is_as_long && self.0.iter().zip(&other.0).all(is_alike)
    }
}

impl Letter {
    fn of(written: char) -> Self {
        let own = match small(written) {
            // Read as an i by a person who sees it for a capital one.
            '1' | '|' => 'i',
            // The one at the end of a word.
            'ς' => 'σ',
            letter => look_alike(letter),
        };
        let shape = match written {
            upright if UPRIGHT.contains(&upright) => 'l',
            // The only capital that its small letter would make one of them.
            'L' => 'L',
            letter => small(look_alike(letter)),
        };
        Self { own, shape }
    }

    fn is_like(self, other: Self) -> bool {
        self.own == other.own || self.shape == other.shape
    }
}

fn small(letter: char) -> char {
    letter.to_lowercase().next().unwrap_or(letter)
}

fn look_alike(letter: char) -> char {
    let own = LOOK_ALIKES.iter().find(|(_, others)| others.contains(letter));
    own.map_or(letter, |(plain, _)| *plain)
}

#[cfg(test)]
mod tests {
    use super::{identity, is_alike, person_name, written_name};

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
            assert_eq!(reason, "type a name of at most 100 characters");
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
        ] {
            assert!(person_name(word).is_err(), "`{word}`");
        }
        assert!(written_name("nobody").is_ok(), "records of earlier versions may have it");
    }

    #[test]
    fn what_looks_alike_is_one_person() {
        for other in [
            "kim bench-test",
            "KIM  BENCH TEST",
            "Kim\u{200b} Bench-Test",
            "\u{41a}im Bench-Test",
            "\u{41a}\u{406}\u{41c} Bench-Test",
            "\u{39a}\u{3b9}m Bench-Test",
            "K\u{456}m B\u{435}n\u{441}h-T\u{435}\u{455}t",
            "\u{ff2b}\u{ff49}\u{ff4d} Bench-Test",
            "Ki\u{301}m Bench-Test",
            "K\u{ed}m Bench-Test",
            "K\u{131}m Bench-Test",
            "K1m Bench-Test",
        ] {
            assert!(is_alike(other, "Kim Bench-Test"), "`{other}`");
            assert!(is_alike("Kim Bench-Test", other), "`{other}`");
        }
        for (one, other) in [
            ("EIa", "Ela"),
            ("E1a", "Ela"),
            ("E|a", "Ela"),
            ("EIa", "eia"),
            ("AIi", "Ali"),
            ("Ian", "lan"),
            ("B0b", "Bob"),
            ("BOB", "B0b"),
            ("\u{41b}\u{415}\u{41d}\u{410}", "\u{43b}\u{435}\u{43d}\u{430}"),
            ("\u{391}\u{3a1}\u{397}\u{3a3}", "\u{3b1}\u{3c1}\u{3b7}\u{3c2}"),
            ("\u{141}ucja", "Lucja"),
            ("S\u{f8}ren", "Soren"),
        ] {
            assert!(is_alike(one, other), "`{one}`");
        }
        assert_ne!(identity("\u{41a}im"), identity("Kim"));
    }

    #[test]
    fn different_ordinary_names_stay_two_people() {
        for (one, other) in [
            ("Kim Bench-Test", "Tim Bench-Test"),
            ("Sam Second-Test", "Sam Third-Test"),
            ("Ela", "Eia"),
            ("ELA", "EIA"),
            ("Ali", "All"),
            ("Alia", "Alla"),
            ("Mila", "Miia"),
            ("Lan", "Ian"),
            ("LAN", "IAN"),
            ("Leila", "Leia"),
            ("Jan", "Jon"),
            ("\u{41d}\u{438}\u{43d}\u{430}", "\u{418}\u{43d}\u{43d}\u{430}"),
            ("\u{3a3}\u{3af}\u{3b1}", "\u{39f}\u{3af}\u{3b1}"),
            ("", ""),
            ("--", ""),
        ] {
            assert!(!is_alike(one, other), "`{one}` and `{other}`");
            assert!(!is_alike(other, one), "`{other}` and `{one}`");
        }
    }
}
