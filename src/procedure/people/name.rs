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

/// Letters of other alphabets that look like a Latin one, small and capital, with what they look like. Common practice, no source:
/// the pairs that a reader can't tell apart in a plain typeface, of the Greek and Cyrillic alphabets and of the Latin letters that
/// do not come apart into a letter and an accent. Both cases of a letter stand at one place, that of the capital where they look unlike.
const LOOK_ALIKES: [(&str, char); 26] = [
    ("аΑАαɑ", 'a'),
    ("ВΒвβ", 'b'),
    ("сСϲⅽ", 'c'),
    ("ԁđðĐÐ", 'd'),
    ("еЕΕєЄεё", 'e'),
    ("ƒ", 'f'),
    ("ɡԌԍ", 'g'),
    ("һНΗнη", 'h'),
    ("іІΙιıїӀ|1", 'i'),
    ("јЈȷ", 'j'),
    ("кКΚκ", 'k'),
    ("łŁ", 'l'),
    ("мМΜμ", 'm'),
    ("ΝνпŋŊ", 'n'),
    ("оОοΟσςøØ0օ", 'o'),
    ("рРρΡ", 'p'),
    ("ԛ", 'q'),
    ("г", 'r'),
    ("ѕЅ", 's'),
    ("тТτΤ", 't'),
    ("ս", 'u'),
    ("ѵ", 'v'),
    ("ԝω", 'w'),
    ("хХχΧ", 'x'),
    ("уУγΥυүҮ", 'y'),
    ("ΖᴢζƵƶ", 'z'),
];

/// Tells whether a text can be a person's name.
///
/// # Errors
/// What to type instead.
pub fn person_name(text: &str) -> Result<(), String> {
    written_name(text)?;
    let is_nobody = |word: &str| NOBODY.contains(&word);
    let mut words = text.split(|c: char| !c.is_alphanumeric()).map(letters);
    if is_nobody(&letters(text)) || words.any(|word| word == "nobody") {
        return Err("that names nobody: type the person's name".to_owned());
    }
    Ok(())
}

/// Tells whether a text could be a name in records of versions before 0.3, which took a word for nobody as one.
///
/// # Errors
/// What to type instead.
pub fn written_name(text: &str) -> Result<(), String> {
    let count = text.chars().filter(|c| c.is_alphabetic()).count();
    if count < 2 || is_word(text) {
        return Err("type the person's name".to_owned());
    }
    Ok(())
}

/// Tells whether a text is a word that the bench takes for something else than a name.
pub(in crate::procedure) fn is_word(text: &str) -> bool {
    NO_NAMES.contains(&letters(text).as_str())
}

/// A role or a class as it is compared, and a name as it was up to 0.2: letter case, spacing and signs do not make another one.
#[must_use]
pub fn identity(name: &str) -> String {
    name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// What a person's name looks like to whoever reads it: two names that look alike are one person's. Letter case, spacing, signs,
/// accents, full-width letters, letters of another alphabet of the same shape, and l, I and 1, do not make another one.
#[must_use]
pub fn likeness(name: &str) -> String {
    letters(name).replace('l', "i")
}

/// The plain small letters that a text reads as.
fn letters(text: &str) -> String {
    let plain = text.nfkd().filter(|c| c.is_alphanumeric()).map(look_alike);
    // Small letters of another alphabet may look like Latin ones where their capitals do not, and the other way round.
    plain.flat_map(char::to_lowercase).map(look_alike).collect()
}

fn look_alike(letter: char) -> char {
    let own = LOOK_ALIKES.iter().find(|(others, _)| others.contains(letter));
    own.map_or(letter, |(_, plain)| *plain)
}

#[cfg(test)]
mod tests {
    use super::{identity, likeness, person_name, written_name};

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
            "\u{39a}\u{3b9}m Bench-Test",
            "K\u{456}m B\u{435}n\u{441}h-T\u{435}\u{455}t",
            "\u{ff2b}\u{ff49}\u{ff4d} Bench-Test",
            "Ki\u{301}m Bench-Test",
            "K\u{ed}m Bench-Test",
            "K\u{131}m Bench-Test",
            "KlM Bench-Test",
            "K1m Bench-Test",
        ] {
            assert_eq!(likeness(other), likeness("Kim Bench-Test"), "`{other}`");
        }
        for (one, other) in [
            ("\u{41b}\u{415}\u{41d}\u{410}", "\u{43b}\u{435}\u{43d}\u{430}"),
            ("\u{391}\u{3a1}\u{397}\u{3a3}", "\u{3b1}\u{3c1}\u{3b7}\u{3c3}"),
            ("\u{141}ucja", "Lucja"),
            ("S\u{f8}ren", "Soren"),
        ] {
            assert_eq!(likeness(one), likeness(other), "`{one}`");
        }
        assert_ne!(likeness("Kim Bench-Test"), likeness("Tim Bench-Test"));
        assert_ne!(likeness("Sam Second-Test"), likeness("Sam Third-Test"));
        assert_ne!(identity("\u{41a}im"), identity("Kim"));
    }
}
