//! A sound procedure with one dangerous mistake at a time: each is found, and by the finding that is meant.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use serde::Deserialize;

use super::{Subject, check};
use crate::procedure::{bundled, read_bench, read_equipment, read_procedure, read_yaml};

const SOUND: &str = include_str!("../../../tests/data/dangerous/sound.yaml");
const EDITS: &str = include_str!("../../../tests/data/dangerous/edits.yaml");
const MORE: &str = include_str!("../../../tests/data/dangerous/more.yaml");
const BENCH: &str = include_str!("../../../procedures/quillmere.bench.yaml");
/// Whole procedures that have nothing to do with the bundled ones, each with its equipment.
const OF_OTHERS: [(&str, &str, &str); 3] = [
    (
        "class-d-amplifier",
        include_str!("../../../tests/data/sound/class-d-amplifier.yaml"),
        include_str!("../../../tests/data/sound/class-d-amplifier.equipment.yaml"),
    ),
    (
        "switch-mode-supply",
        include_str!("../../../tests/data/sound/switch-mode-supply.yaml"),
        include_str!("../../../tests/data/sound/switch-mode-supply.equipment.yaml"),
    ),
    (
        "valve-radio",
        include_str!("../../../tests/data/sound/valve-radio.yaml"),
        include_str!("../../../tests/data/sound/valve-radio.equipment.yaml"),
    ),
];

/// One mistake, as a text of [`SOUND`] that is changed into another.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Edit {
    mistake: String,
    finds: String,
    from: String,
    to: String,
}

/// The codes of what is found.
pub(super) fn codes(text: &str) -> Vec<&'static str> {
    let found = read_procedure(text)
        .map(|procedure| check(&Subject::new(&procedure, None, None)))
        .unwrap_or_else(|finding| vec![finding]);
    found.iter().map(|finding| finding.code).collect()
}

#[test]
fn the_sound_procedure_has_no_findings() {
    assert_eq!(codes(SOUND), Vec::<&str>::new());
}

#[test]
fn every_dangerous_mistake_is_found() {
    let edits: Vec<Edit> = read_yaml(EDITS).unwrap();
    assert!(edits.len() > 80);
    let mut missed = Vec::new();
    for Edit { mistake, finds, from, to } in edits {
        assert_eq!(SOUND.matches(&from).count(), 1, "{mistake}");
        let found = codes(&SOUND.replace(&from, &to));
        if !found.contains(&finds.as_str()) {
            missed.push(format!("{mistake}: {found:?} and not {finds}"));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

/// A mistake in a procedure of [`OF_OTHERS`] or in a bundled one.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Mistake {
    mistake: String,
    base: String,
    finds: String,
    changes: Vec<Change>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Change {
    from: String,
    to: String,
}

/// The text of a sound procedure with its equipment file.
fn sound(name: &str) -> (&'static str, &'static str) {
    let other = OF_OTHERS.iter().find(|(own, ..)| *own == name);
    other.map_or_else(
        || (bundled::text(name).unwrap(), bundled::equipment(name).unwrap()),
        |(_, text, own)| (*text, *own),
    )
}

/// The codes of what is found in a text with that equipment on the example's bench.
fn codes_with(text: &str, equipment: &str) -> Vec<&'static str> {
    let (bench, equipment) = (read_bench(BENCH).unwrap(), read_equipment(equipment).unwrap());
    let found = read_procedure(text)
        .map(|procedure| check(&Subject::new(&procedure, Some(&equipment), Some(&bench))))
        .unwrap_or_else(|finding| vec![finding]);
    found.iter().map(|finding| finding.code).collect()
}

#[test]
fn procedures_in_the_words_of_others_have_no_findings() {
    for (name, text, equipment) in OF_OTHERS {
        assert_eq!(codes_with(text, equipment), Vec::<&str>::new(), "{name}");
        assert_eq!(codes(text), Vec::<&str>::new(), "{name} by itself");
    }
}

#[test]
fn every_dangerous_mistake_in_the_words_of_others_is_found() {
    let mistakes: Vec<Mistake> = read_yaml(MORE).unwrap();
    assert!(mistakes.len() > 70);
    let mut missed = Vec::new();
    for Mistake { mistake, base, finds, changes } in mistakes {
        let (text, equipment) = sound(&base);
        let mut text = text.to_owned();
        for Change { from, to } in changes {
            assert_eq!(text.matches(&from).count(), 1, "{mistake}: {from}");
            text = text.replace(&from, &to);
        }
        let found = codes_with(&text, equipment);
        if !found.contains(&finds.as_str()) {
            missed.push(format!("{mistake}: {found:?} and not {finds}"));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}
