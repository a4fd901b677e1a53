//! A sound procedure with one dangerous mistake at a time: each is found, and by the finding that is meant.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use serde::Deserialize;

use super::{Subject, check};
use crate::procedure::{read_procedure, read_yaml};

const SOUND: &str = include_str!("../../../tests/data/dangerous/sound.yaml");
const EDITS: &str = include_str!("../../../tests/data/dangerous/edits.yaml");

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
