//! When two names are the same person's, as far as a reader can tell.

use unicode_normalization::UnicodeNormalization;

/// Letters that look like a Latin one as they are written, with that one: of the Greek, Cyrillic and Cherokee scripts, and Latin ones that
/// do not come apart into a letter and an accent, small capitals among them. Common practice, no source: the pairs that a reader can't tell apart in a plain
/// typeface. Letters of one alphabet that people tell apart stand at different ones.
const LOOK_ALIKES: [(char, &str); 26] = [
    ('a', "аАΑαɑᴀᎪ"),
    ('b', "вВΒβʙᏴ"),
    ('c', "сСϲϹᴄᏟ"),
    ('d', "ԁđðĐÐᴅᎠ"),
    ('e', "еЕΕεᴇᎬ"),
    ('f', "ƒꜰ"),
    ('g', "ɡԍԌɢᏀ"),
    ('h', "һҺнНΗʜᎻ"),
    ('i', "іιıɪᎥ"),
    ('j', "јЈȷᴊᎫ"),
    ('k', "кКκΚᴋᏦ"),
    ('l', "ӏłŁʟᏞ"),
    ('m', "мМΜᴍᎷ"),
    ('n', "пηΝŋɴ"),
    ('o', "оОοΟøØ0օᴏ"),
    ('p', "рРρΡᴘᏢ"),
    ('q', "ԛꞯ"),
    ('r', "гʀᎡ"),
    ('s', "ѕЅꜱᏚ"),
    ('t', "тТτΤᴛᎢ"),
    ('u', "սυμᴜ"),
    ('v', "ѵνѴᴠᏙ"),
    ('w', "ԝωԜᴡᎳ"),
    ('x', "хХχΧ"),
    ('y', "уУүҮγΥʏ"),
    ('z', "ᴢƶƵΖᏃ"),
];

/// What is read as a small l or as a capital I, as nobody can tell which of the two it is.
const UPRIGHT: [char; 7] = ['l', 'I', 'І', 'Ι', 'Ӏ', '1', '|'];

/// Tells whether two names are one person's, as far as a reader can tell: whether each letter of the one is that of the other, or looks
/// like it on a screen. Letter case, spacing, signs, accents, full-width letters and letters of another alphabet of the same shape
/// make no other name, nor do small capitals or two v for a w. A capital I, a small l and a 1 look alike; a small i and an l don't, so Ela and Eia are two people. What
/// has no letters is nobody's name. Nor do the family name first, an initial for a name, a number or what stands in brackets make
/// another person.
#[must_use]
pub fn is_alike(one: &str, other: &str) -> bool {
    NameLikeness::of(one).is_that_of(&NameLikeness::of(other))
}

/// What a name looks like, as a whole and by its words; made once where it is compared with many.
pub(in crate::procedure) struct NameLikeness {
    whole: Likeness,
    words: Vec<Likeness>,
}

impl NameLikeness {
    pub(in crate::procedure) fn of(name: &str) -> Self {
        let name = bare(name);
        let words = name.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
        Self { whole: Likeness::of(&name), words: words.map(Likeness::of).collect() }
    }

    /// Tells whether both are one person's, as [`is_alike`] does.
    pub(in crate::procedure) fn is_that_of(&self, other: &Self) -> bool {
        self.whole.is_that_of(&other.whole) || self.is_in_other_words(other)
    }

    /// "Bench-Test, Kim" and "K. Bench-Test" for "Kim Bench-Test": the same words, each as often, of which some may be initials.
    fn is_in_other_words(&self, other: &Self) -> bool {
        if self.words.len() < 2 || self.words.len() != other.words.len() {
            return false;
        }
        let mut others: Vec<&Likeness> = other.words.iter().collect();
        let mut finds = |is: &dyn Fn(&Likeness) -> bool| {
            let at = others.iter().position(|likeness| is(likeness));
            at.map(|at| others.swap_remove(at)).is_some()
        };
        let (same, initials): (Vec<_>, Vec<_>) =
            self.words.iter().partition(|word| finds(&|other| word.is_that_of(other)));
        !same.is_empty()
            && initials.iter().all(|word| finds(&|other| word.is_initial_beside(other)))
    }
}

/// A name without what stands in brackets and without numbers: "Kim Bench-Test (day shift)", "Kim Bench-Test 2". What has nothing
/// else stays as it is.
fn bare(name: &str) -> String {
    let mut depth = 0_usize;
    let outside = name.nfkd().map(|c| match c {
        '(' | '[' | '{' | '<' => {
            depth += 1;
            ' '
        }
        ')' | ']' | '}' | '>' => {
            depth = depth.saturating_sub(1);
            ' '
        }
        c if depth == 0 => c,
        _ => ' ',
    });
    let outside: String = outside.collect();
    let is_number = |word: &&str| word.chars().all(|c| c.is_numeric() || c == '.' || c == '#');
    let kept: Vec<_> = outside.split_whitespace().filter(|word| !is_number(word)).collect();
    if kept.is_empty() { name.to_owned() } else { kept.join(" ") }
}

/// What a word, or a name without its gaps, looks like.
pub(super) struct Likeness(Vec<Letter>);

/// A letter of a name.
#[derive(Clone, Copy)]
struct Letter {
    /// Which letter it is, whatever its case.
    letter: char,
    /// What it looks like as it is written.
    shape: char,
}

impl Likeness {
    pub(super) fn of(name: &str) -> Self {
        let written = name.nfkd().filter(|c| c.is_alphanumeric() || *c == '|');
        let mut letters: Vec<Letter> = Vec::new();
        for letter in written.map(Letter::of) {
            match letters.last_mut() {
                // Two of them side by side are read as one w.
                Some(last) if last.letter == 'v' && letter.letter == 'v' => *last = Letter::W,
                _ => letters.push(letter),
            }
        }
        Self(letters)
    }

    /// Tells whether a reader takes the one for the other.
    pub(super) fn is_that_of(&self, other: &Self) -> bool {
        let is_alike = |(one, other): (&Letter, &Letter)| one.is_like(*other);
        let is_as_long = self.0.len() == other.0.len();
        !self.0.is_empty() && is_as_long && self.0.iter().zip(&other.0).all(is_alike)
    }

    /// Tells whether one of two words is the initial of the other.
    fn is_initial_beside(&self, other: &Self) -> bool {
        let first = self.0.first().zip(other.0.first());
        let is_initial = self.0.len() == 1 || other.0.len() == 1;
        is_initial && first.is_some_and(|(letter, other)| letter.is_like(*other))
    }
}

impl Letter {
    const W: Self = Self { letter: 'w', shape: 'w' };

    fn of(written: char) -> Self {
        let shown = match small(written) {
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
        Self { letter: shown, shape }
    }

    fn is_like(self, other: Self) -> bool {
        self.letter == other.letter || self.shape == other.shape
    }
}

fn small(letter: char) -> char {
    letter.to_lowercase().next().unwrap_or(letter)
}

fn look_alike(letter: char) -> char {
    // Most letters are plain ones, and names are compared often.
    if letter.is_ascii_alphabetic() {
        return letter;
    }
    let alike = LOOK_ALIKES.iter().find(|(_, others)| others.contains(letter));
    alike.map(|(plain, _)| *plain).or_else(|| in_a_badge(letter)).unwrap_or(letter)
}

/// The Latin capital in a filled circle or square: U+1F150 to 1F169 and U+1F170 to 1F189, each in the order of the alphabet.
fn in_a_badge(letter: char) -> Option<char> {
    let of = |first: u32| u32::from(letter).checked_sub(first).filter(|at| *at < 26);
    let at = of(0x1_f150).or_else(|| of(0x1_f170))?;
    char::from_u32(u32::from('a') + at)
}

#[cfg(test)]
mod tests {
    use super::is_alike;
    use crate::procedure::identity;

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
            "\u{1d0b}\u{26a}\u{1d0d} Bench-Test",
            "\u{1d40a}\u{1d422}\u{1d426} Bench-Test",
            "\u{24c0}\u{24d8}\u{24dc} Bench-Test",
            "\u{1f17a}\u{1f178}\u{1f17c} Bench-Test",
            "\u{13e6}im Bench-Test",
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
            ("VVilma", "Wilma"),
            ("V Vilma", "wilma"),
            ("Vvilma", "WILMA"),
            ("\u{41b}\u{415}\u{41d}\u{410}", "\u{43b}\u{435}\u{43d}\u{430}"),
            ("\u{391}\u{3a1}\u{397}\u{3a3}", "\u{3b1}\u{3c1}\u{3b7}\u{3c2}"),
            ("\u{141}ucja", "Lucja"),
            ("S\u{f8}ren", "Soren"),
            ("Bench-Test, Kim", "Kim Bench-Test"),
            ("test \u{41a}im bench", "Kim Bench-Test"),
            ("Kim Bench-Test (invented)", "Kim Bench-Test"),
            ("Kim Bench-Test [supervisor]", "Kim Bench-Test (day)"),
            ("Kim Bench-Test \u{ff08}2\u{ff09}", "kim bench test"),
            ("Kim Bench-Test 2", "Kim Bench-Test"),
            ("Kim Bench-Test #2", "2. Kim Bench-Test"),
            ("K. Bench-Test", "Kim Bench-Test"),
            ("Bench-Test, \u{41a}.", "Kim Bench-Test"),
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
            ("Kim Test-Kim", "Kim Test-Test"),
            ("Ela", "Eia"),
            ("ELA", "EIA"),
            ("Ali", "All"),
            ("Alia", "Alla"),
            ("Mila", "Miia"),
            ("Lan", "Ian"),
            ("LAN", "IAN"),
            ("Leila", "Leia"),
            ("Jan", "Jon"),
            ("K. Bench-Test", "Tim Bench-Test"),
            ("K. B.", "Kim Bench-Test"),
            ("K", "Kim"),
            ("Kim A. Bench", "Kim Bench"),
            ("(Kim)", "(Tim)"),
            ("Kim (Test)", "Tim (Test)"),
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
