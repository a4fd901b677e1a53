//! What a record holds is a code, a value, a name, or what somebody said. A sentence of the program is made where it is shown: in a
//! record it would be the wording of one version, which replay can't tell from another conclusion.

use std::collections::BTreeSet;

use super::support::source::sources;

/// The rooms that a record takes its types from.
const ROOMS: [&str; 5] = ["record", "formula", "quantity", "window", "physics"];

/// What texts stand for wherever they are called so.
const CALLED: [(&str, &[&str]); 5] = [
    (
        "what a person is called",
        &["by", "from", "operator", "person", "principal", "role", "taken_by", "to", "with"],
    ),
    (
        "what a thing is called: equipment, instrument, point, part, stage, step, file, formula's name, rule set",
        &[
            "class",
            "equipment_name",
            "fault",
            "fitted",
            "function",
            "instrument",
            "item",
            "items",
            "meant",
            "meter",
            "name",
            "offered",
            "output",
            "outputs",
            "parts",
            "people",
            "point",
            "points",
            "program",
            "rules",
            "run",
            "signal",
            "signers",
            "stage",
            "step",
            "steps",
            "takes",
            "title",
            "word",
        ],
    ),
    (
        "a value or a day as it is written",
        &["amps", "due", "example", "guess", "last", "milliamps", "unit"],
    ),
    ("what a value measures, in one word", &["found", "wanted"]),
    (
        "what was typed, sent, signed or read from a file, byte by byte",
        &["armored", "remarks", "reply", "salt", "sha256", "text"],
    ),
];

const ASKED: &str =
    "the question as the procedure puts it; replay tells another wording from another conclusion";
const SAID: &str = "the person's words";
const WRITTEN: &str = "the number or the unit that was written";
const FORMER: &str = "the sentence of an earlier version: read, and never written";
const REPORTED: &str = "what an instrument, its line or the system reported: it happened, and nothing is concluded from its wording";

/// Texts by the place where they stand.
const OTHERS: [(&str, &str); 36] = [
    ("DecimalError::Comma", WRITTEN),
    ("DecimalError::ExponentTooLarge", WRITTEN),
    ("DecimalError::ForeignDigit", WRITTEN),
    ("DecimalError::Gap", WRITTEN),
    ("DecimalError::Malformed", WRITTEN),
    ("DecimalError::NotFinite", WRITTEN),
    ("DecimalError::TooManyDigits", WRITTEN),
    ("Event::InstrumentLost.instrument", REPORTED),
    ("Event::OffUnconfirmed.error", REPORTED),
    ("Event::RecordFailed.error", REPORTED),
    ("Event::Voided.why", SAID),
    ("Fact::Again.why", SAID),
    ("Fact::Agreed.what", ASKED),
    ("Fact::Conceded.why", SAID),
    ("Fact::Done.what", ASKED),
    ("Fact::Judged.basis", "the words of the procedure"),
    ("Fact::Judged.what", ASKED),
    ("Fact::NotConfirmedOff.error", REPORTED),
    ("Fact::Repaired.what", SAID),
    ("Fact::Seen.what", ASKED),
    ("Fact::Stale.because", "the name of the step that was taken again"),
    ("Fact::Verified.what", ASKED),
    ("VoidedRecord.why", SAID),
    ("Fact::Written.what", ASKED),
    ("Reason::TerminalGone.error", REPORTED),
    ("Reason::Words", SAID),
    ("Refusal::Fact.why", FORMER),
    ("Refusal::Said", FORMER),
    ("StopReason::CouldNotWorkOut.what", "the name of the value, the step or the stage"),
    ("StopReason::InstrumentLost.instrument", REPORTED),
    ("StopReason::RecordFailed.error", REPORTED),
    (
        "TripCause::Said",
        "what fired it: a signal, an instrument that was lost; or the sentence of an earlier version",
    ),
    ("UnitError::Meaningless", WRITTEN),
    ("Unworkable::Said", FORMER),
    ("Wanted::OperatorOr", "a word or a sign of formulas"),
    ("WindowError::NegativeWidth", WRITTEN),
];

/// The places of texts in what a file declares for reading back: a type with its variant and its field.
fn texts(code: &str) -> Vec<String> {
    let mut found = Vec::new();
    let (mut derived, mut place) = (false, String::new());
    let mut variant = String::new();
    for line in code.lines() {
        let bare = line.trim();
        let indent = line.len() - line.trim_start().len();
        if indent == 0 {
            derived = match bare {
                _ if bare.starts_with("#[derive") => bare.contains("Deserialize"),
                _ if bare.starts_with("#[") => derived,
                _ => derived && bare.starts_with("pub"),
            };
            let name = bare
                .split(['{', '(', '<', ' '])
                .skip_while(|word| !matches!(*word, "enum" | "struct"));
            place = name.skip(1).find(|word| !word.is_empty()).unwrap_or_default().to_owned();
            variant.clear();
            continue;
        }
        if !derived || bare.starts_with("#[") {
            continue;
        }
        let declared = bare.strip_prefix("pub ").unwrap_or(bare);
        let name =
            declared.split(|c: char| !c.is_alphanumeric() && c != '_').next().unwrap_or_default();
        let is_variant = indent == 4 && name.starts_with(char::is_uppercase);
        if is_variant {
            variant = format!("::{name}");
        }
        let is_text = declared.split(|c: char| !c.is_alphanumeric()).any(|word| word == "String");
        if is_text && is_variant {
            found.push(format!("{place}{variant}"));
        } else if is_text {
            found.push(format!("{place}{variant}.{name}"));
        }
    }
    found
}

#[test]
fn a_text_in_a_record_is_a_value_a_name_or_what_somebody_said() {
    let inside = sources()
        .into_iter()
        .filter(|source| source.room().is_some_and(|room| ROOMS.contains(&room.as_str())));
    let found: BTreeSet<_> = inside.flat_map(|source| texts(&source.code)).collect();
    assert!(found.len() > 150, "only {} texts are seen", found.len());
    let called = || CALLED.iter().flat_map(|(_, names)| *names);
    let name = |place: &str| place.rsplit('.').next().unwrap().to_owned();
    let is_listed = |place: &str| OTHERS.iter().any(|(listed, _)| *listed == place);
    let new: Vec<_> = found
        .iter()
        .filter(|place| !is_listed(place) && !called().any(|known| *known == name(place)))
        .collect();
    assert!(
        new.is_empty(),
        "make a code of each that is a sentence; list the others with what they are: {new:#?}"
    );
    let gone: Vec<_> = OTHERS.iter().filter(|(place, _)| !found.contains(*place)).collect();
    assert!(gone.is_empty(), "these stand in no record any more: {gone:#?}");
    let unused: Vec<_> =
        called().filter(|known| !found.iter().any(|place| name(place) == **known)).collect();
    assert!(unused.is_empty(), "nothing is called so any more: {unused:?}");
}

#[test]
fn a_text_is_seen_wherever_it_stands() {
    let code = r#"
#[derive(Clone, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Refusal {
    #[error("{0} is no String")]
    Said(String),
    Fact {
        why: String,
        names: Vec<String>,
        most: u64,
    },
    Unit(Option<Box<Unit>>),
}

#[derive(Clone)]
pub struct Shown {
    words: String,
}

#[derive(Deserialize)]
pub struct Entry {
    pub by: Option<String>,
}
"#;
    assert_eq!(
        texts(code),
        ["Refusal::Said", "Refusal::Fact.why", "Refusal::Fact.names", "Entry.by"]
    );
}
