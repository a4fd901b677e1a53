//! Answers to several questions on one line: each judged as its own answer, and nothing taken for a question that was not asked.

use serde_json::Value;

use crate::support::bench::{Bench, SET};
use crate::support::board::on_a_dead_board;
use crate::support::desk::Desk;
use crate::support::terminal::{Look, Terminal};

/// Four readings of one kind on a dead set. Invented.
const FOUR: &str = r#"
      - step: leads
        read: {what: Leads held together, unit: ohm, window: {between: [0 ohm, 0.5 ohm]}}
        basis: common practice, no source
        proves: tester
      - step: gate
        read: {what: Gate to source, unit: ohm, window: {at_least: 1 kohm, open_ok: true}}
        basis: common practice, no source
        for_each: [q11, q12, q21, q22]
      - step: tidy
        do: Tidy the bench
"#;

/// A person on a board that was just proved dead, before the first of these steps.
fn before(steps: &str) -> (Bench, Desk) {
    let bench = Bench::new();
    bench.write("listed.yaml", on_a_dead_board("listed", "technician", steps));
    let run = [&["run", "listed.yaml", "--operator", "Finn Aster-Test"][..], &SET].concat();
    let mut desk =
        Desk::at(Terminal::start(bench.folder(), &Look::usual(), &run), "Take the leads off");
    for line in ["done", "off", "9.1", "0", "9.1"] {
        desk.answers(line);
    }
    (bench, desk)
}

/// A person at the first of the four readings.
fn at_the_first() -> (Bench, Desk) {
    let (bench, mut desk) = before(FOUR);
    desk.answers("0.1");
    let asked = desk.question();
    assert!(asked.contains("all 4 values on one line, in this order: q11 q12 q21 q22"), "{asked}");
    (bench, desk)
}

/// What was entered for the four, as typed.
fn entered(bench: &Bench) -> Vec<String> {
    let record = bench.record();
    let of_a_gate = |event: &&Value| event["key"].as_str().unwrap().starts_with("gate.");
    let entered = record.events("entered").into_iter().filter(of_a_gate);
    entered.map(|event| event["text"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn a_line_of_readings_is_one_answer_for_each_part() {
    let (bench, mut desk) = at_the_first();
    desk.answers("12 kohm OL 11k 1.5 Mohm");
    let came = desk.question();
    assert!(came.contains("Tidy the bench"), "{came}");
    let at = |words: &str| came.find(words).unwrap_or_else(|| panic!("no {words:?} in {came}"));
    assert!(at("12 kohm") < at("q12") && at("q12") < at("q21") && at("q21") < at("q22"), "{came}");
    assert_eq!(
        entered(&bench),
        ["12 kohm", "OL", "11k", "1.5 Mohm"],
        "each is an entry of its own"
    );
}

#[test]
fn a_bad_reading_ends_the_line() {
    let (bench, mut desk) = at_the_first();
    desk.answers("12 kohm 2 ohm 11 kohm 12 kohm");
    let came = desk.question();
    assert!(came.contains("not taken: 11 kohm 12 kohm"), "{came}");
    assert!(came.contains("STOPPED"), "{came}");
    assert_eq!(entered(&bench), ["12 kohm", "2 ohm"]);
}

#[test]
fn a_line_with_one_value_too_few_is_not_guessed_at() {
    let (bench, mut desk) = at_the_first();
    desk.answers("12 kohm 13 kohm 11 kohm");
    let came = desk.question();
    assert!(came.contains("3 values. Type one, for q11, or all 4"), "{came}");
    assert!(came.contains("q11: Gate to source"), "{came}");
    assert!(entered(&bench).is_empty(), "nothing was taken");
}

#[test]
fn what_stays_of_a_list_may_be_typed_on_one_line_too() {
    let (bench, mut desk) = at_the_first();
    desk.answers("12 kohm");
    let came = desk.question();
    assert!(came.contains("all 3 values on one line, in this order: q12 q21 q22"), "{came}");
    desk.answers("12 kohm nonsense 12 kohm 12 kohm");
    let came = desk.question();
    assert!(came.contains("not taken: 12 kohm 12 kohm"), "{came}");
    assert_eq!(entered(&bench), ["12 kohm", "12 kohm nonsense"], "the second was refused");
}

/// Three things to do, then two looks. Invented.
const ROWS: &str = r#"
      - step: probe-off
        do: Take the probe off
      - step: clip-off
        do: Take the clip off
        for_each: [left, right]
      - step: screws
        look: {at: The screws, good: [tight], bad: [{say: one loose, likely: forgotten, next: tighten it}]}
      - step: lid
        look: {at: The lid, good: [flat], bad: [{say: stands up, likely: a wire under it, next: look}]}
      - step: tidy
        do: Tidy the bench
"#;

fn at_the_rows() -> (Bench, Desk) {
    let (bench, desk) = before(ROWS);
    let asked = desk.question();
    for row in ["1 Take the probe off", "2 left: Take the clip off", "3 right: Take the clip off"] {
        assert!(asked.contains(row), "{asked}");
    }
    assert!(asked.contains("1-3"), "{asked}");
    (bench, desk)
}

/// The questions of this kind that were answered.
fn keys(bench: &Bench, event: &str) -> Vec<String> {
    let record = bench.record();
    let keys =
        record.events(event).into_iter().map(|event| event["key"].as_str().unwrap().to_owned());
    keys.collect()
}

#[test]
fn what_is_done_is_told_on_one_line_as_far_as_it_is_done() {
    let (bench, mut desk) = at_the_rows();
    desk.answers("1 3");
    let came = desk.question();
    assert!(came.contains("the numbers go from 1 to 3"), "{came}");
    assert!(!keys(&bench, "acknowledged").contains(&"probe-off".to_owned()), "nothing was taken");
    desk.answers("1 2");
    let came = desk.question();
    assert!(came.contains("right: Take the clip off") && !came.contains("2 right"), "{came}");
    desk.answers("done");
    let done = keys(&bench, "acknowledged");
    assert_eq!(done[done.len() - 3..], ["probe-off", "clip-off.left", "clip-off.right"]);
}

#[test]
fn looks_are_answered_on_one_line_and_a_bad_one_ends_it() {
    let (bench, mut desk) = at_the_rows();
    desk.answers("1-3");
    let came = desk.question();
    for row in ["The screws", "1 tight", "2 one loose", "The lid", "3 flat", "4 stands up"] {
        assert!(came.contains(row), "no {row:?} in {came}");
    }
    desk.answers("1 1");
    let came = desk.question();
    assert!(came.contains("type one number of each look"), "{came}");
    desk.answers("2 3");
    let came = desk.question();
    assert!(came.contains("STOPPED") && came.contains("not taken: 3"), "{came}");
    let seen = bench
        .record()
        .facts("seen")
        .into_iter()
        .map(|fact| fact["key"].clone())
        .collect::<Vec<_>>();
    assert_eq!(seen, ["screws"], "the lid was not looked at yet");
}
