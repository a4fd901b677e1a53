//! Replaying a record: its events into a fresh runner must give the facts that it holds.

use super::afterwards::Afterwards;
use super::{differing, practice};
use crate::procedure::{
    BenchFile, Equipment, People, Procedure, read_bench, read_equipment, read_people,
    read_procedure,
};
use crate::record::{Entry, Event, PROGRAM};
use crate::runner::{Effect, Runner};

/// A runner brought to where a record ends.
#[derive(Debug)]
pub(crate) struct Replayed {
    pub(crate) runner: Runner,
    pub(crate) procedure: Procedure,
    pub(crate) equipment: Option<Equipment>,
    pub(crate) bench: Option<BenchFile>,
    /// Where this program puts it otherwise, and concludes the same.
    pub(crate) differences: Vec<Difference>,
}

/// A line at which this program puts another value or another word than the record.
#[derive(Debug)]
pub(crate) struct Difference {
    /// The number of the line.
    pub(crate) line: usize,
    /// What the record says and what this program says.
    pub(crate) words: String,
    /// Whether a record of this same version says otherwise how sure a verdict is: one build works that out alike each time.
    pub(crate) is_odd: bool,
}

/// Feeds the events of a record to a fresh runner and compares what it concludes.
///
/// Another version may have put it in other words, and may have worked out other values on the way; this is told, and what
/// it concluded has to be the same.
///
/// # Errors
/// The first line whose conclusions do not follow from what happened.
pub(crate) fn replay(entries: &[Entry]) -> Result<Replayed, String> {
    let Frozen { procedure, equipment, bench, people } = frozen(entries)?;
    let runner = Runner::new(procedure.clone(), equipment.clone()).on_bench(bench.clone());
    let mut runner = runner.with_people(people);
    let mut program = String::new();
    let mut afterwards = Afterwards::default();
    let mut differences = Vec::new();
    for (n, entry) in entries.iter().enumerate() {
        if afterwards.takes(n + 1, entry)? {
            continue;
        }
        if let Event::Diagnosed(told) = &entry.event {
            let before = entries.get(..n).unwrap_or_default();
            practice::holds(&procedure, before, entry, told)
                .map_err(|why| format!("line {}: {why}", n + 1))?;
            continue;
        }
        match &entry.event {
            Event::Started(opening) => program.clone_from(&opening.program),
            Event::Resumed { program: other, .. } => program.clone_from(other),
            _ => {}
        }
        let effects = runner.handle(entry.at, entry.event.clone());
        let concluded = effects.iter().find_map(|effect| match effect {
            Effect::Record(entry) => Some(entry.as_ref()),
            _ => None,
        });
        let Some(mut concluded) = concluded.cloned() else {
            return Err(format!("line {}: nothing like it can happen at this point", n + 1));
        };
        for (theirs, ours) in entry.facts.iter().zip(&mut concluded.facts) {
            ours.put_as(theirs);
        }
        if *entry == concluded {
            continue;
        }
        let words = difference(entry, &concluded, &program);
        if !follows(entry, &concluded, &program) {
            return Err(format!(
                "line {}: what it concludes does not follow from what happened; {words}",
                n + 1
            ));
        }
        let mut pairs = entry.facts.iter().zip(&concluded.facts);
        let is_odd = program == PROGRAM && !pairs.all(|(theirs, ours)| theirs.is_as_sure_as(ours));
        differences.push(Difference { line: n + 1, words, is_odd });
    }
    Ok(Replayed { runner, procedure, equipment, bench, differences })
}

/// Tells whether an entry concludes what this program concludes. Words may differ. Values that were worked out on the
/// way may differ where another version did so.
fn follows(entry: &Entry, concluded: &Entry, program: &str) -> bool {
    let happened = |entry: &Entry| (entry.at, entry.by.clone(), entry.event.clone());
    if happened(entry) != happened(concluded) || entry.facts.len() != concluded.facts.len() {
        return false;
    }
    let mut pairs = entry.facts.iter().zip(&concluded.facts);
    if program == PROGRAM {
        pairs.all(|(theirs, ours)| theirs.without_wording() == ours.without_wording())
    } else {
        pairs.all(|(theirs, ours)| theirs.concludes_as(ours))
    }
}

/// What the record says and what this program says, at the first place where they differ.
fn difference(entry: &Entry, concluded: &Entry, program: &str) -> String {
    let json = |entry: &Entry| serde_json::to_value(entry).unwrap_or_default();
    let found = differing::first(&json(entry), &json(concluded));
    let Some(differing::DifferingPlace { path, left, right }) = found else {
        return "the rest of the line is the same".to_owned();
    };
    format!("{path}: version {program} recorded {left}, this version ({PROGRAM}) concludes {right}")
}

/// The files of the run.
#[derive(Debug)]
pub(crate) struct Frozen {
    pub(crate) procedure: Procedure,
    pub(crate) equipment: Option<Equipment>,
    pub(crate) bench: Option<BenchFile>,
    pub(crate) people: Option<People>,
}

/// The files as they are frozen in the record.
pub(crate) fn frozen(entries: &[Entry]) -> Result<Frozen, String> {
    let Some(Entry { event: Event::Started(opening), .. }) = entries.first() else {
        return Err("line 1 is not the start of a run".to_owned());
    };
    let beside = [&opening.equipment, &opening.bench, &opening.people, &opening.signers];
    entries.first().map_or(Ok(()), practice::is_marked)?;
    for file in std::iter::once(&opening.procedure).chain(beside.into_iter().flatten()) {
        if crate::journal::sha256_hex(file.text.as_bytes()) != file.sha256 {
            return Err(format!("line 1: the copy of {} does not match its hash", file.name));
        }
    }
    let read = |what: &str, error: crate::diagnostic::Finding| {
        format!("line 1: the {what} in it cannot be read: {}", error.message)
    };
    let procedure =
        read_procedure(&opening.procedure.text).map_err(|error| read("procedure", error))?;
    let equipment = opening.equipment.as_ref().map(|file| read_equipment(&file.text)).transpose();
    let equipment = equipment.map_err(|error| read("equipment file", error))?;
    let bench = opening.bench.as_ref().map(|file| read_bench(&file.text)).transpose();
    let bench = bench.map_err(|error| read("bench file", error))?;
    let people = opening.people.as_ref().map(|file| read_people(&file.text)).transpose();
    let people = people.map_err(|error| read("people file", error))?;
    Ok(Frozen { procedure, equipment, bench, people })
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

    use chrono::DateTime;

    use super::PROGRAM;
    use super::replay;
    use crate::journal::sha256_hex;
    use crate::procedure::read_procedure;
    use crate::record::{Entry, Event, Fact, Mode, Moment, Opening, Origin, Provided, Refusal};
    use crate::runner::{Effect, Runner};

    const PROCEDURE: &str = r#"
format: 1
procedure: replayed
revision: 1
title: A record to play again (invented)
run_by: technician
charge_points:
  plus: {at: "reservoir plus", below: 2 V}
known_source: {what: "a fresh 9 V block", between: [8 V, 10 V]}
stages:
  - stage: cold
    title: Cold
    source: none
    steps:
      - step: plug
        do: Pull the plug
      - step: dead
        prove_dead: Before hands go in
"#;

    /// The entries of a short run, as that version of the program wrote them.
    fn entries(program: &str) -> Vec<Entry> {
        let procedure = Provided {
            name: "procedure.yaml".to_owned(),
            sha256: sha256_hex(PROCEDURE.as_bytes()),
            text: PROCEDURE.to_owned(),
        };
        let started = Event::Started(Box::new(Opening {
            program: program.to_owned(),
            procedure,
            ..Opening::of_a_test(Mode::Scripted, "Kim Bench-Test")
        }));
        let entered = |key: &str, text: &str| Event::Entered {
            key: key.into(),
            text: text.to_owned(),
            origin: Origin::Scripted,
            signature: None,
        };
        let mut runner = Runner::new(read_procedure(PROCEDURE).unwrap(), None);
        let events = [
            started,
            entered("plug", "well"),
            entered("plug", "done"),
            entered("make-safe.off", "off"),
        ];
        let effects = events.into_iter().enumerate().flat_map(|(n, event)| {
            let wall = DateTime::from_timestamp_millis(n as i64).unwrap().fixed_offset();
            runner.handle(Moment { wall, elapsed_ms: n as u64 }, event)
        });
        let entries = effects.filter_map(|effect| match effect {
            Effect::Record(entry) => Some(*entry),
            _ => None,
        });
        entries.collect()
    }

    /// The entries with the reason of the first refusal put in other words.
    fn reworded(program: &str) -> Vec<Entry> {
        let mut entries = entries(program);
        let facts = entries.iter_mut().flat_map(|entry| &mut entry.facts);
        let reasons: Vec<_> = facts
            .filter_map(|fact| match fact {
                Fact::Refused { reason, .. } => Some(reason),
                _ => None,
            })
            .collect();
        assert_eq!(reasons.len(), 1);
        for reason in reasons {
            *reason = Refusal::Said(format!("{reason}, please"));
        }
        entries
    }

    #[test]
    fn a_record_follows_from_its_events() {
        assert!(replay(&entries(PROGRAM)).is_ok());
        assert!(replay(&entries("0.0.1")).is_ok());
    }

    #[test]
    fn other_words_are_told_and_are_no_forgery() {
        assert!(replay(&reworded("0.0.1")).is_ok());
        let told = replay(&reworded(PROGRAM)).unwrap().differences;
        assert_eq!(told.len(), 1);
        assert_eq!(told[0].line, 2);
        assert!(told[0].words.starts_with("facts.0.refused.reason: "), "{told:?}");
    }

    #[test]
    fn no_version_may_have_concluded_something_else() {
        let mut forged = entries("0.0.1");
        forged[3].facts.clear();
        let wrong = replay(&forged).unwrap_err();
        assert!(wrong.starts_with("line 4:") && wrong.contains("0.0.1"), "{wrong}");
    }

    #[test]
    fn nobody_can_have_begun_whom_the_people_file_in_the_record_does_not_admit() {
        for (until, is_admitted) in [("1970-01-01", true), ("1969-12-31", false)] {
            let text = format!(
                "format: 1\npeople: A shop for a test (invented)\nstaff:\n  kim: {{name: Kim Bench-Test, \
                 roles: [technician], competent: {{replayed: {until}}}}}\n"
            );
            let mut entries = entries(PROGRAM);
            let Event::Started(opening) = &mut entries[0].event else { panic!("a run starts") };
            let sha256 = sha256_hex(text.as_bytes());
            opening.people = Some(Provided { name: "people.yaml".to_owned(), sha256, text });
            let replayed = replay(&entries).map(drop);
            let wrong = replayed.as_ref().err().map(|wrong| wrong.starts_with("line 1: "));
            assert_eq!(wrong, (!is_admitted).then_some(true), "{replayed:?}");
        }
    }
}
