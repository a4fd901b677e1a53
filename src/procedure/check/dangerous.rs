//! A sound procedure with one dangerous mistake at a time: each is found, and by the finding that is meant.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use serde::Deserialize;

use super::{CHECKS, Subject, check};
use crate::diagnostic::Finding;
use crate::procedure::{bundled, read_bench, read_equipment, read_procedure, read_yaml};

const SOUND: &str = include_str!("../../../tests/data/dangerous/sound.yaml");
const EDITS: &str = include_str!("../../../tests/data/dangerous/edits.yaml");
const MORE: &str = include_str!("../../../tests/data/dangerous/more.yaml");
const WORDS: &str = include_str!("../../../tests/data/dangerous/words.yaml");
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

/// The checks that a good engineer expects.
const CASE: &str = include_str!("../../../docs/safety-case.md");

/// The codes of a table's row whose last cell names a test.
fn codes_held_by<'a>(row: &'a str, test: &str) -> Vec<&'a str> {
    let mut cells = row.split('|').skip(2);
    let (Some(codes), Some(tests)) = (cells.next(), cells.next()) else { return Vec::new() };
    let is_held = tests.contains(&format!("`{test}`"));
    codes.split('`').skip(1).step_by(2).filter(|_| is_held).collect()
}

#[test]
fn every_check_that_is_expected_has_a_dangerous_mistake() {
    let (_, case) = CASE.split_once("## What a procedure is held to").unwrap();
    let (case, _) = case.split_once("\n## ").unwrap();
    let edits: Vec<Edit> = read_yaml(EDITS).unwrap();
    let rows = case.lines().filter(|line| line.starts_with("| "));
    let codes: Vec<_> =
        rows.flat_map(|row| codes_held_by(row, "every_dangerous_mistake_is_found")).collect();
    assert!(codes.len() > 15, "{codes:?}");
    let missing: Vec<_> =
        codes.iter().filter(|code| !edits.iter().any(|edit| edit.finds == **code)).collect();
    assert!(missing.is_empty(), "no mistake gives {missing:?}");
}

#[test]
fn every_finding_of_order_hazard_and_safety_has_a_row_in_the_safety_case() {
    let (_, case) = CASE.split_once("## What a procedure is held to").unwrap();
    let (case, _) = case.split_once("\n## ").unwrap();
    let codes = CHECKS.iter().map(|check| check.code);
    let held =
        codes.filter(|code| ["HAZ", "ORD", "SAF"].iter().any(|family| code.starts_with(family)));
    let missing: Vec<_> = held.filter(|code| !case.contains(&format!("`{code}`"))).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

/// A mistake in a procedure of [`OF_OTHERS`] or in a bundled one.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DangerousMistake {
    mistake: String,
    base: String,
    finds: String,
    changes: Vec<Replacement>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Replacement {
    from: String,
    to: String,
}

/// The text of a sound procedure with its equipment file.
fn sound(name: &str) -> (&'static str, &'static str) {
    let other = OF_OTHERS.iter().find(|(known, ..)| *known == name);
    other.map_or_else(
        || (bundled::text(name).unwrap(), bundled::equipment(name).unwrap()),
        |(_, text, equipment)| (*text, *equipment),
    )
}

/// What is found in a text with that equipment on the example's bench.
fn findings_with(text: &str, equipment: &str) -> Vec<Finding> {
    let (bench, equipment) = (read_bench(BENCH).unwrap(), read_equipment(equipment).unwrap());
    read_procedure(text)
        .map(|procedure| check(&Subject::new(&procedure, Some(&equipment), Some(&bench))))
        .unwrap_or_else(|finding| vec![finding])
}

fn codes_with(text: &str, equipment: &str) -> Vec<&'static str> {
    findings_with(text, equipment).iter().map(|finding| finding.code).collect()
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
    let mistakes: Vec<DangerousMistake> = read_yaml(MORE).unwrap();
    assert!(mistakes.len() > 70);
    let mut missed = Vec::new();
    for DangerousMistake { mistake, base, finds, changes } in mistakes {
        let (text, equipment) = sound(&base);
        let mut text = text.to_owned();
        for Replacement { from, to } in changes {
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

/// Sentences that are put into sound procedures.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DangerousWords {
    steps: Vec<StepPlace>,
    alone: Vec<AlonePlace>,
}

/// A place for steps of one sentence each, which are all tried at once: a finding points at its step.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StepPlace {
    place: String,
    base: String,
    before: String,
    step: String,
    dangerous: BTreeMap<String, Vec<String>>,
    harmless: Vec<String>,
}

impl StepPlace {
    /// What is found in each of these sentences.
    fn found(&self, sentences: &[&String]) -> Vec<Vec<&'static str>> {
        let (text, equipment) = sound(&self.base);
        assert_eq!(text.matches(&self.before).count(), 1, "{}", self.place);
        let (mut whole, rest) = text
            .split_once(&self.before)
            .map(|(head, tail)| (head.to_owned(), tail.to_owned()))
            .unwrap();
        let ranges: Vec<_> = sentences
            .iter()
            .enumerate()
            .map(|(n, words)| {
                let start = whole.len();
                whole += &format!("      - step: said-{n}\n        ");
                whole += &self.step.replace("{words}", words);
                whole += "\n";
                start..whole.len()
            })
            .collect();
        whole += &self.before;
        whole += &rest;
        let all = findings_with(&whole, equipment);
        let within = |range: &Range<usize>| {
            let within_it = all
                .iter()
                .filter(|within_it| within_it.span.is_some_and(|at| range.contains(&at.start)));
            within_it.map(|finding| finding.code).collect()
        };
        ranges.iter().map(within).collect()
    }
}

/// A place for sentences of which one alone shows at a time.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AlonePlace {
    place: String,
    base: String,
    changes: Vec<Replacement>,
    dangerous: BTreeMap<String, Vec<String>>,
    harmless: Vec<String>,
}

impl AlonePlace {
    fn found(&self, sentences: &[&String]) -> Vec<Vec<&'static str>> {
        let (text, equipment) = sound(&self.base);
        let with = |words: &&String| {
            let changed =
                self.changes.iter().fold(text.to_owned(), |text, Replacement { from, to }| {
                    assert_eq!(text.matches(from).count(), 1, "{}: {from}", self.place);
                    text.replace(from, &to.replace("{words}", words))
                });
            codes_with(&changed, equipment)
        };
        sentences.iter().map(with).collect()
    }
}

/// What is wrong with what is found at a place.
fn amiss(
    place: &str,
    dangerous: &BTreeMap<String, Vec<String>>,
    harmless: &[String],
    found: impl Fn(&[&String]) -> Vec<Vec<&'static str>>,
) -> Vec<String> {
    let due =
        dangerous.iter().flat_map(|(code, texts)| texts.iter().map(move |text| (text, Some(code))));
    let due: Vec<_> = due.chain(harmless.iter().map(|text| (text, None))).collect();
    let sentences: Vec<&String> = due.iter().map(|(text, _)| *text).collect();
    let found = found(&sentences);
    let wrong = due.iter().zip(found).filter(|((_, code), found)| match code {
        Some(code) => !found.contains(&code.as_str()),
        None => !found.is_empty(),
    });
    wrong
        .map(|((text, code), found)| format!("{place}: \"{text}\" gives {found:?}, not {code:?}"))
        .collect()
}

#[test]
fn dangerous_sentences_are_found_and_harmless_ones_beside_them_are_not() {
    let words: DangerousWords = read_yaml(WORDS).unwrap();
    let steps = words.steps.iter().flat_map(|place| {
        amiss(&place.place, &place.dangerous, &place.harmless, |all| place.found(all))
    });
    let alone = words.alone.iter().flat_map(|place| {
        amiss(&place.place, &place.dangerous, &place.harmless, |all| place.found(all))
    });
    let wrong: Vec<_> = steps.chain(alone).collect();
    assert!(wrong.is_empty(), "{}\n{}", wrong.len(), wrong.join("\n"));
}

/// The codes that the lists of mistakes and sentences have to find.
fn listed() -> BTreeSet<String> {
    let edits: Vec<Edit> = read_yaml(EDITS).unwrap();
    let mistakes: Vec<DangerousMistake> = read_yaml(MORE).unwrap();
    let words: DangerousWords = read_yaml(WORDS).unwrap();
    let edits = edits.into_iter().map(|edit| edit.finds);
    let mistakes = mistakes.into_iter().map(|mistake| mistake.finds);
    let steps = words.steps.into_iter().flat_map(|place| place.dangerous.into_keys());
    let alone = words.alone.into_iter().flat_map(|place| place.dangerous.into_keys());
    edits.chain(mistakes).chain(steps).chain(alone).collect()
}

#[test]
fn every_finding_of_order_hazard_and_safety_stands_in_a_list_of_dangers() {
    let listed = listed();
    let families = ["HAZ", "ORD", "SAF"];
    let codes = CHECKS.iter().map(|check| check.code);
    let mut missing = codes.filter(|code| families.iter().any(|family| code.starts_with(family)));
    assert_eq!(missing.find(|code| !listed.contains(*code)), None);
    for code in ["WIN006", "QTY013"] {
        assert!(listed.contains(code), "{code}");
    }
    // Every other code is shown by the bad example of its page: `every_example_does_what_its_page_says`.
}
