//! Facts about the equipment: asked for, or taken from its file.

use super::sitting::{ONE_POINT, RunAtBench};
use crate::record::{Fact, Outcome, StopReason};
use crate::runner::Effect;

fn procedure() -> String {
    format!(
        r#"{ONE_POINT}
asks:
  rail: {{ask: "Voltage of the rail", unit: V, between: [10 V, 100 V]}}
  outputs: {{ask: "Names of the output devices", parts: true}}
work_out:
  low: 0.6 * rail
stages:
  - stage: cold
    title: Cold
    source: none
    steps:
      - step: gate
        read: {{what: Gate to source, unit: ohm, window: {{at_least: 1 kohm}}}}
        for_each: [outputs]
"#
    )
}

fn equipment(facts: &str) -> String {
    format!("format: 1\nequipment: Lantern 60 (invented)\nserial: \"1\"\n{facts}")
}

fn worked_out(sitting: &RunAtBench) -> Option<String> {
    sitting.facts().iter().find_map(|fact| match fact {
        Fact::WorkedOut { name, value, .. } => Some(format!("{name} = {value}")),
        _ => None,
    })
}

#[test]
fn facts_are_asked_for_where_no_file_gives_them() {
    let mut sitting = RunAtBench::new(&procedure());
    assert_eq!(sitting.key(), "ask.rail");
    for text in ["", "ok", "OL", "5 A", "5000 V"] {
        sitting.say(text);
        assert!(sitting.refusal().is_some(), "{text}");
        assert_eq!(sitting.key(), "ask.rail", "{text}");
    }
    sitting.say("50");
    assert_eq!(sitting.key(), "ask.outputs");
    for text in ["", "q1, q1", "q1; q2", "q1, second"] {
        sitting.say(text);
        assert_eq!(sitting.key(), "ask.outputs", "{text}");
    }
    sitting.say("q1, q2");
    assert_eq!(worked_out(&sitting).as_deref(), Some("low = 30 V"));
    sitting.make_safe();
    assert_eq!(sitting.key(), "gate.q1");
}

#[test]
fn a_file_that_gives_them_spares_the_questions() {
    let equipment = equipment("facts: {rail: 50 V}\nparts: {outputs: [q7, q8]}\n");
    let mut sitting = RunAtBench::with(&procedure(), Some(&equipment));
    assert_eq!(worked_out(&sitting).as_deref(), Some("low = 30 V"));
    assert_eq!(sitting.make_safe().key(), "gate.q7");
    let half = self::equipment("facts: {rail: 50 V}\n");
    assert_eq!(RunAtBench::with(&procedure(), Some(&half)).key(), "ask.outputs");
}

#[test]
fn a_file_that_cannot_be_right_ends_the_run_safely() {
    let equipment = equipment("facts: {rail: 5000 V}\n");
    let mut sitting = RunAtBench::with(&procedure(), Some(&equipment));
    let stopped = sitting.facts().iter().find_map(|fact| match fact {
        Fact::Stopped { reason, .. } => Some(reason),
        _ => None,
    });
    assert!(matches!(stopped, Some(StopReason::UnusableFact { name, .. }) if name == "rail"));
    assert!(stopped.unwrap().words().contains("`rail`: 5000 V is not credible"), "{stopped:?}");
    assert_eq!(sitting.key(), "make-safe.off");
    sitting.make_safe();
    assert!(sitting.effects().contains(&Effect::Finish(Outcome::CouldNotWorkOut)));
}

#[test]
fn a_repair_before_the_first_stage_leaves_no_fact_out() {
    let mut sitting = RunAtBench::new(&procedure());
    sitting.decline("the plate is gone").make_safe().say_all(&["repaired", "a new plate"]);
    assert_eq!(sitting.key(), "ask.rail");
}

/// The half width of what is worked out from the rail, as 95 % of a rectangle on either side: 0.95 of 0.6 of the tolerance.
fn doubt(fact: &str) -> Option<f64> {
    let equipment = equipment(&format!("facts: {{rail: {fact}}}\nparts: {{outputs: [q7]}}\n"));
    let sitting = RunAtBench::with(&procedure(), Some(&equipment));
    let doubts = sitting.facts().iter().find_map(|fact| match fact {
        Fact::WorkedOut { uncertainty, .. } => Some(*uncertainty),
        _ => None,
    });
    doubts.unwrap().map(|uncertainty| uncertainty.expanded.to_f64())
}

#[test]
fn a_tolerance_that_is_stated_with_a_fact_goes_through_what_is_worked_out_from_it() {
    assert_eq!(doubt("50 V"), None);
    for fact in ["50 V +/- 2 %", "50 V +/- 1 V"] {
        let doubt = doubt(fact).unwrap();
        assert!((doubt - 0.95 * 0.6).abs() < 1e-9, "{fact}: {doubt}");
    }
}

#[test]
fn what_is_no_tolerance_is_asked_for_again() {
    let mut sitting = RunAtBench::new(&procedure());
    for text in ["50 V +/- 2", "50 V +/-", "50 V +/- 120 %", "+/- 2 %", "5000 V +/- 2 %"] {
        sitting.say(text);
        assert!(sitting.refusal().is_some(), "{text}");
        assert_eq!(sitting.key(), "ask.rail", "{text}");
    }
    sitting.say("50 V +/- 2 %");
    assert_eq!(sitting.key(), "ask.outputs");
}
