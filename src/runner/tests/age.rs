//! Results have an age, and equipment that nobody had in sight is not where it was left.

use super::sitting::{ONE_POINT, RunAtBench};
use crate::record::{Event, Expiry, Fact, Mode};
use crate::runner::Effect;

const KIM: &str = "Kim Bench-Test";
const HOUR_MS: i64 = 3_600_000;

const LADDER: &str = "
stages:
  - stage: cold
    title: Cold
    source: none
    steps:
      - step: joints
        look: {at: The joints, good: [whole], bad: [{say: cracked, likely: age, next: solder them}]}
  - stage: lamp
    title: Through the lamp
    source: mains-through-lamp
    ceiling: {voltage: 230 V, current: 250 mA}
    steps:
      - step: lamp-on
        set: {what: Switch on through the lamp, power: \"on\"}
      - step: glow
        look: {at: The lamp, good: [dim], bad: [{say: bright, likely: a short, next: look for it}]}
      - step: lamp-off
        set: {what: Switch off, power: \"off\"}
  - stage: direct
    title: Mains
    source: mains
    ceiling: {voltage: 230 V, current: 1 A}
    steps:
      - step: direct-on
        set: {what: Switch on, power: \"on\"}
";

fn ladder(times: &str) -> String {
    format!("{ONE_POINT}{times}{LADDER}")
}

/// A run with the lamp stage done, at the word that all is clear for direct mains.
fn before_mains(mode: Mode, times: &str, bench: Option<&str>) -> RunAtBench {
    let mut sitting = RunAtBench::aging(&ladder(times), mode, bench);
    sitting.say("whole");
    up_to_mains(&mut sitting);
    sitting
}

fn up_to_mains(sitting: &mut RunAtBench) {
    for _ in 0..40 {
        match sitting.key() {
            "direct.clear" => return,
            "joints" => sitting.say("whole"),
            "lamp.clear" => sitting.say("clear"),
            "lamp-on" => sitting.say("done"),
            "glow" => sitting.say("dim"),
            "lamp-off" => sitting.say("off"),
            key if key.starts_with("make-safe") || key.starts_with("dead") => sitting.make_safe(),
            key => panic!("not expected: {key:?}"),
        };
    }
    panic!("the mains is never come to: {}", sitting.key());
}

fn expired(sitting: &RunAtBench) -> Option<(Vec<String>, Expiry)> {
    sitting.facts().iter().find_map(|fact| match fact {
        Fact::Expired { steps, why } => Some((steps.clone(), *why)),
        _ => None,
    })
}

fn names(steps: &[&str]) -> Vec<String> {
    steps.iter().map(|step| (*step).to_owned()).collect()
}

#[test]
fn results_from_long_before_are_taken_again_cold_ones_included() {
    let mut sitting = before_mains(Mode::Real, "", None);
    sitting.resume_later(KIM, 370 * 24 * HOUR_MS, 0).make_safe();
    assert_eq!(sitting.key(), "left.sight");
    sitting.say("in sight");
    let (steps, why) = expired(&sitting).unwrap();
    assert_eq!(steps, names(&["joints", "glow"]));
    assert!(matches!(why, Expiry::Old { stands_ms: 36_000_000, .. }), "{why:?}");
    assert_eq!(sitting.key(), "joints");
    sitting.say("whole");
    up_to_mains(&mut sitting);
}

#[test]
fn results_of_this_working_day_stand_when_the_equipment_stayed_in_sight() {
    let mut sitting = before_mains(Mode::Real, "", None);
    sitting.resume_later(KIM, HOUR_MS, 0).make_safe();
    assert_eq!(sitting.key(), "left.sight");
    sitting.say("not really");
    assert!(sitting.refusal().is_some());
    sitting.say("in sight");
    assert_eq!((expired(&sitting), sitting.key()), (None, "direct.clear"));
}

#[test]
fn the_lamp_stage_is_taken_again_when_the_equipment_was_out_of_sight() {
    let mut sitting = before_mains(Mode::Real, "", None);
    sitting.resume_later(KIM, HOUR_MS, 0).make_safe().say("out of sight");
    assert_eq!(expired(&sitting), Some((names(&["glow"]), Expiry::OutOfSight)));
    assert_eq!(sitting.key(), "lamp.clear");
    up_to_mains(&mut sitting);
}

#[test]
fn what_became_of_the_equipment_is_not_declined() {
    let mut sitting = before_mains(Mode::Real, "", None);
    sitting.resume_later(KIM, HOUR_MS, 0).make_safe();
    assert_eq!(sitting.key(), "left.sight");
    sitting.decline("no idea");
    assert!(sitting.refusal().is_some());
    assert_eq!(sitting.key(), "left.sight");
}

#[test]
fn hands_that_were_in_make_every_stage_begin_again() {
    let mut sitting = before_mains(Mode::Real, "", None);
    sitting.resume_later(KIM, HOUR_MS, 0).make_safe().say("hands in");
    assert_eq!(expired(&sitting), Some((names(&["joints", "glow"]), Expiry::HandsIn)));
    assert_eq!(sitting.key(), "joints");
}

#[test]
fn another_person_and_a_script_have_not_seen_it() {
    let mut sitting = before_mains(Mode::Real, "", None);
    sitting.resume_later("Robin Relief-Test", HOUR_MS, 0).make_safe();
    assert_eq!(sitting.key(), "lamp.clear");
    // The person who leaves it to the first one again has not answered for it either.
    let mut sitting = before_mains(Mode::Real, "", None);
    sitting.resume_later("Robin Relief-Test", HOUR_MS, 0);
    sitting.resume_later(KIM, HOUR_MS, 0).resume_later(KIM, HOUR_MS, 0).make_safe();
    assert_eq!(sitting.key(), "lamp.clear");
    let mut sitting = before_mains(Mode::Scripted, "", None);
    sitting.resume_later(KIM, HOUR_MS, 0).make_safe();
    assert_eq!(sitting.key(), "lamp.clear");
}

#[test]
fn where_no_stage_would_stand_on_the_answer_nothing_is_asked() {
    let mut sitting = RunAtBench::aging(&ladder(""), Mode::Real, None);
    sitting.resume_later(KIM, HOUR_MS, 0).make_safe();
    assert_eq!(sitting.key(), "joints");
}

#[test]
fn a_clock_that_went_back_tells_no_age() {
    for (ms, behind_ms) in [(-(HOUR_MS / 30), 0), (HOUR_MS, 304 * 24 * HOUR_MS)] {
        let mut sitting = RunAtBench::aging(&ladder(""), Mode::Real, None);
        sitting.pass((HOUR_MS as u64) / 20).say("whole");
        up_to_mains(&mut sitting);
        sitting.resume_later(KIM, ms, behind_ms).make_safe();
        assert_eq!(expired(&sitting).map(|(_, why)| why), Some(Expiry::AgeUnknown));
        assert_eq!(sitting.key(), "joints");
    }
}

const SHOP: &str = "
format: 1
bench: a bench for tests (invented)
results_stand_for: 30 min
instruments: {}
";

#[test]
fn the_shorter_time_of_the_procedure_and_the_shop_counts() {
    for (times, bench, stands_ms) in [
        ("results_stand_for: 20 min\n", None, 1_200_000),
        ("", Some(SHOP), 1_800_000),
        ("results_stand_for: 20 min\n", Some(SHOP), 1_200_000),
        ("results_stand_for: 2 h\n", Some(SHOP), 1_800_000),
    ] {
        let mut sitting = before_mains(Mode::Real, times, bench);
        sitting.resume_later(KIM, HOUR_MS, 0).make_safe().say("in sight");
        let why = expired(&sitting).map(|(_, why)| why);
        assert!(matches!(why, Some(Expiry::Old { stands_ms: stands, .. }) if stands == stands_ms));
    }
}

#[test]
fn what_grew_old_at_a_question_lets_no_source_come_on() {
    let mut sitting = before_mains(Mode::Real, "proof_lasts: 48 h\n", None);
    sitting.pass(11 * HOUR_MS as u64).say("clear");
    assert!(!sitting.effects().iter().any(|effect| matches!(effect, Effect::Energise(_))));
    assert!(matches!(expired(&sitting), Some((_, Expiry::Old { .. }))));
    assert_eq!(sitting.key(), "joints");
}

#[test]
fn after_a_sleep_of_the_machine_the_person_is_asked_too() {
    let mut sitting = before_mains(Mode::Real, "", None);
    sitting.event(Event::ClockUpset { slept_ms: HOUR_MS as u64, set_ms: 0 }).make_safe();
    assert_eq!(sitting.key(), "left.sight");
    sitting.say("out of sight");
    assert_eq!(sitting.key(), "lamp.clear");
}

#[test]
fn a_record_from_before_results_aged_is_judged_as_it_was() {
    let mut sitting = RunAtBench::new(&ladder(""));
    sitting.say("whole");
    up_to_mains(&mut sitting);
    sitting.pass(400 * 24 * HOUR_MS as u64).resume().make_safe();
    assert_eq!(sitting.key(), "direct.clear");
}
