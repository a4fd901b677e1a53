//! Keeps the example in `docs/journal-format.md` true.

use super::*;

const PAGE: &str = include_str!("../../../docs/journal-format.md");

#[derive(Serialize)]
struct ExampleEntry {
    at: ExampleMoment,
    by: &'static str,
    event: &'static str,
    facts: serde_json::Value,
}

#[derive(Serialize)]
struct ExampleMoment {
    wall: &'static str,
    elapsed_ms: u64,
}

fn entry(
    wall: &'static str,
    elapsed_ms: u64,
    event: &'static str,
    facts: serde_json::Value,
) -> ExampleEntry {
    ExampleEntry {
        at: ExampleMoment { wall, elapsed_ms },
        by: "A. Tester (invented)",
        event,
        facts,
    }
}

/// Two entries, a third cut off after 100 bytes, and the entry after resuming.
#[test]
fn the_example_on_the_page_is_what_the_program_writes() {
    let shelf = Shelf::new();
    let mut journal = Journal::create(shelf.path(), "example").unwrap();
    let path = journal.path().to_owned();
    let started = serde_json::json!({"equipment": "invented amplifier"});
    let reading = serde_json::json!({"step": "idle-plus", "typed": "31.5 mA"});
    journal.append(&entry("2026-03-02T09:15:00+01:00", 0, "started", started)).unwrap();
    journal.append(&entry("2026-03-02T09:16:10+01:00", 70_000, "entered", reading)).unwrap();
    let whole = fs::metadata(&path).unwrap().len();
    let lost = serde_json::json!({});
    journal.append(&entry("2026-03-02T09:17:00+01:00", 120_000, "entered", lost)).unwrap();
    drop(journal);
    fs::File::options().write(true).open(&path).unwrap().set_len(whole + 100).unwrap();

    let (mut journal, contents) = Journal::resume::<serde_json::Value>(&path).unwrap();
    let torn = serde_json::json!({"torn": contents.torn});
    journal.append(&entry("2026-03-02T09:21:30+01:00", 0, "resumed", torn)).unwrap();
    let written = fs::read_to_string(&path).unwrap();
    let block = format!("```json\n{written}```\n");
    assert!(PAGE.contains(&block), "docs/journal-format.md should show:\n{block}");
    let head = format!("head of the example: `{}`", journal.head());
    assert!(PAGE.contains(&head), "docs/journal-format.md should say: {head}");
}
