//! Calibrations that have run out: accepted by a second person before the first stage, or said and no more.

use super::sitting::{RunAtBench, at_60_v, cold};
use crate::record::Fact;

const STEP: &str = "- step: tidy\n  do: Tidy the wires";

/// Sittings begin on 1970-01-01: one meter ran out the day before, one holds to the end of that day.
fn bench(policy: &str) -> String {
    format!(
        "format: 1
bench: A bench for tests (invented)
{policy}
instruments:
  old: {{what: a meter (invented), serial: T-1, calibration_due: 1969-12-31}}
  due: {{what: a meter (invented), serial: T-2, calibration_due: 1970-01-01}}
  plain: {{what: a meter (invented), serial: T-3}}
"
    )
}

fn sitting(policy: &str) -> RunAtBench {
    RunAtBench::at_bench(&cold(STEP), &bench(policy))
}

fn overdue(sitting: &RunAtBench) -> Vec<Fact> {
    let facts = sitting.facts().iter();
    facts.filter(|fact| matches!(fact, Fact::CalibrationOverdue { .. })).cloned().collect()
}

fn old() -> Fact {
    Fact::CalibrationOverdue { instrument: "old".to_owned(), due: "1969-12-31".to_owned() }
}

#[test]
fn a_second_person_accepts_it_with_a_reason_before_anything_else() {
    for policy in ["", "overdue: concession", "overdue: refuse"] {
        let mut sitting = sitting(policy);
        assert_eq!(overdue(&sitting), [old()], "{policy}");
        assert_eq!(sitting.key(), "calibration.old.accepted-by");
        let what = &sitting.question().what;
        assert!(what.contains("old ran out after 1969-12-31"), "{what}");
        sitting.say("Kim Bench-Test");
        assert!(sitting.refusal().is_some(), "nobody accepts for themselves");
        sitting.say("Moss Other-Test").say(" ");
        assert!(sitting.refusal().is_some(), "a reason is wanted");
        assert_eq!(sitting.key(), "calibration.old.accepted-why");
        sitting.say("compared with the other meter this morning");
        let conceded = Fact::Conceded {
            key: "calibration.old".into(),
            by: "Moss Other-Test".to_owned(),
            why: "compared with the other meter this morning".to_owned(),
        };
        assert_eq!(sitting.facts().first(), Some(&conceded));
        assert_eq!(sitting.make_safe().key(), "tidy");
    }
}

#[test]
fn a_warning_is_a_fact_and_asks_nothing() {
    let mut sitting = sitting("overdue: warn");
    assert_eq!(overdue(&sitting), [old()]);
    assert_eq!(sitting.make_safe().key(), "tidy");
}

#[test]
fn what_was_accepted_is_not_asked_again_and_what_was_not_is() {
    let mut sitting = sitting("");
    sitting.halt().make_safe().resume().make_safe();
    assert_eq!(sitting.key(), "calibration.old.accepted-by", "a stop is no way past it");
    sitting.say("Moss Other-Test").say("compared").make_safe();
    sitting.halt().make_safe().resume().make_safe();
    assert_eq!(sitting.key(), "tidy");
}

#[test]
fn after_a_repair_it_stands_accepted() {
    let step = "- step: volts\n  read: {what: Output, unit: V, window: {at_most: 10 V}}";
    let mut sitting = RunAtBench::at_bench(&at_60_v(&cold(step)), &bench(""));
    sitting.say("Moss Other-Test").say("compared").make_safe();
    sitting.say_all(&["12.3 V", "repaired", "a new capacitor"]).make_safe();
    assert_eq!(sitting.key(), "volts");
}
