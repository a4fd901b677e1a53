//! Proving dead: the meter on a known source, every point, the known source again; and what that does not prove.

use super::sitting::{ONE_POINT, RunAtBench, cold};
use crate::record::{Energy, Fact, ProofMade};

/// Two points, one with a bleeder, and a step that has hands in.
const TWO_POINTS: &str = r#"
charge_points:
  plus: {at: "reservoir plus", below: 2 V, holds: {capacitance: 10 mF, charged_to: 40 V, bleeder: 2.2 kohm}}
  minus: {at: "reservoir minus", below: 2 V, holds: {capacitance: 10 mF, charged_to: 40 V, bleeder: 1 kohm}}
stages:
  - stage: cold
    title: Cold
    source: none
    steps:
      - step: tidy
        do: Tidy the wires
"#;

fn at_the_first_reading() -> RunAtBench {
    let mut sitting = RunAtBench::new(TWO_POINTS);
    sitting.say("off").sit_out();
    assert_eq!(sitting.key(), "dead.before");
    sitting
}

fn has(sitting: &RunAtBench, wanted: impl Fn(&Fact) -> bool) -> bool {
    sitting.facts().iter().any(wanted)
}

fn close_to(ms: u64, seconds: f64) -> bool {
    (ms as f64 / 1000.0 - seconds).abs() < 0.01
}

#[test]
fn the_meter_is_proved_before_and_after_every_point() {
    let mut sitting = at_the_first_reading();
    for (key, text) in [
        ("dead.before", "9.1 V"),
        ("dead.plus", "0.01 V"),
        ("dead.minus", "-1.9 V"),
        ("dead.after", "9.1 V"),
    ] {
        assert_eq!(sitting.key(), key);
        assert_eq!(sitting.question().energy, Energy::Isolated, "at {key}");
        sitting.say(text);
    }
    let points = vec!["plus".to_owned(), "minus".to_owned()];
    let lasts_ms = 30 * 60 * 1000;
    assert!(has(&sitting, |fact| *fact
        == Fact::ProvedDead(ProofMade { points: points.clone(), lasts_ms })));
    assert_eq!(sitting.key(), "tidy");
    assert_eq!(sitting.question().energy, Energy::ProvedDead);
}

#[test]
fn a_negative_rail_is_not_dead() {
    for text in ["-35 V", "-2.1 V", "2.1 V", "OL", "NaN"] {
        let mut sitting = at_the_first_reading();
        sitting.say_all(&["9.1 V", text]);
        let point = "plus".to_owned();
        assert!(
            has(&sitting, |fact| *fact == Fact::StillCharged { point: point.clone() }),
            "{text}"
        );
        assert_eq!(sitting.key(), "make-safe.wait", "{text}");
        sitting.sit_out();
        assert_eq!(sitting.key(), "dead.before", "{text}");
    }
}

#[test]
fn probes_swapped_on_the_known_source_prove_the_meter_as_well() {
    let mut sitting = at_the_first_reading();
    sitting.say_all(&["-9.1 V", "0 V", "0 V", "-8.9 V"]);
    assert_eq!(sitting.key(), "tidy");
}

#[test]
fn a_meter_that_fails_before_or_after_proves_nothing() {
    for readings in [
        &["0 V"][..],
        &["OL"],
        &["11 V"],
        &["9 V", "0 V", "0 V", "0 V"],
        &["9 V", "0 V", "0 V", "NaN"],
    ] {
        let mut sitting = at_the_first_reading();
        sitting.say_all(readings);
        assert!(has(&sitting, |fact| matches!(fact, Fact::MeterRejected { .. })), "{readings:?}");
        assert_eq!(sitting.key(), "dead.before", "{readings:?}");
        sitting.say_all(&["9 V", "0 V", "0 V"]);
        assert_eq!(sitting.key(), "dead.after", "all of it again after {readings:?}");
    }
}

/// 1.2 x 1.05 R C ln(V0 / V), worked by hand: 10 mF, 2.2 kohm, 40 V to 2 V takes 83.04 s; from 35 V 79.34 s.
#[test]
fn the_waits_are_worked_out_from_what_is_known() {
    let mut sitting = RunAtBench::new(TWO_POINTS);
    sitting.say("off");
    assert!(
        close_to(sitting.wait_ms(), 83.04),
        "{} ms: the slower point counts",
        sitting.wait_ms()
    );
    sitting.sit_out().say_all(&["9 V", "35 V"]);
    assert!(
        close_to(sitting.wait_ms(), 79.34),
        "{} ms from the measured voltage",
        sitting.wait_ms()
    );
    sitting.sit_out().say_all(&["9 V", "-35 V"]);
    assert!(close_to(sitting.wait_ms(), 79.34), "{} ms on a negative rail", sitting.wait_ms());
}

#[test]
fn without_a_bleeder_the_wait_is_a_stated_one() {
    let mut sitting = RunAtBench::new(&cold("- step: tidy\n  do: Tidy the wires"));
    sitting.say("off");
    assert_eq!(sitting.wait_ms(), 30_000);
    assert!(sitting.question().what.contains("not known for: plus"), "{}", sitting.question().what);
    sitting.sit_out().say_all(&["9 V", "35 V"]);
    assert_eq!(sitting.wait_ms(), 10_000);
}

#[test]
fn a_point_without_a_bleeder_is_waited_for_in_vain_and_its_charge_is_let_out() {
    let mut sitting =
        RunAtBench::new(&TWO_POINTS.replace("bleeder: 2.2 kohm", "bleeder: 1000 Gohm"));
    sitting.say("off");
    assert!(close_to(sitting.wait_ms(), 37.75), "{} ms of the other", sitting.wait_ms());
    let what = sitting.question().what.clone();
    assert!(what.contains("NO BLEEDER at plus: no wait makes that safe"), "{what}");
    sitting.sit_out().say("9 V");
    let what = sitting.question().what.clone();
    assert!(what.starts_with("NO BLEEDER: let its charge out through the resistor"), "{what}");
    sitting.say("35 V");
    assert_eq!(sitting.wait_ms(), 10_000, "no wait of its own");
    sitting.sit_out().say_all(&["9 V", "0.1 V"]);
    let what = sitting.question().what.clone();
    assert!(what.starts_with("Is it dead?"), "the other has one: {what}");
}

#[test]
fn a_halt_does_not_cut_the_wait_short() {
    let mut sitting = RunAtBench::new(TWO_POINTS);
    sitting.say("off").pass(20_000).halt();
    assert_eq!(sitting.key(), "make-safe.wait");
    assert!(close_to(sitting.wait_ms(), 63.04), "{} ms are left", sitting.wait_ms());
}

#[test]
fn three_good_readings_prove_nothing_on_equipment_that_may_be_plugged_in() {
    let mut sitting =
        RunAtBench::new(&cold("- step: first-dead\n  prove_dead: Before hands go in"));
    assert_eq!(sitting.key(), "make-safe.off");
    sitting.acknowledge();
    assert_eq!(sitting.key(), "make-safe.off", "an empty answer switches nothing off");
}

/// Four parts, ten minutes each: the proof runs out before the last.
#[test]
fn a_proof_that_runs_out_between_two_parts_is_renewed() {
    let read = "
- step: gate
  read: {what: Gate to source, unit: ohm, window: {at_least: 1 kohm}}
  for_each: [q1, q2, q3, q4]
";
    let mut sitting = RunAtBench::new(&cold(read));
    sitting.make_safe();
    for key in ["gate.q1", "gate.q2", "gate.q3"] {
        assert_eq!(sitting.key(), key);
        sitting.pass(10 * 60 * 1000).say("2 kohm");
    }
    assert_eq!(sitting.key(), "dead.before");
    sitting.make_safe();
    assert_eq!(sitting.key(), "gate.q4");
}

#[test]
fn a_question_put_again_after_the_proof_ran_out_gives_way_to_a_new_one() {
    let mut sitting = RunAtBench::new(&cold("- step: tidy\n  do: Tidy the wires"));
    sitting.make_safe().pass(31 * 60 * 1000).say("not yet");
    assert_eq!(sitting.key(), "dead.before");
    assert_eq!(sitting.question().energy, Energy::Isolated);
}

#[test]
fn a_proof_lasts_as_long_as_the_procedure_says() {
    let steps = "- step: tidy\n  do: Tidy the wires\n- step: again\n  do: Tidy again";
    let procedure = cold(steps).replace(ONE_POINT, &format!("{ONE_POINT}proof_lasts: 5 min\n"));
    for (passed_ms, next) in [(299_000, "again"), (300_000, "dead.before")] {
        let mut sitting = RunAtBench::new(&procedure);
        sitting.make_safe().pass(passed_ms).say("done");
        assert_eq!(sitting.key(), next, "after {passed_ms} ms");
    }
}
