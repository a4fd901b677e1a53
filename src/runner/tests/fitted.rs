//! Temporary items, and readings, of a stage whose source they do not go with.

use super::sitting::{ONE_POINT, RunAtBench};
use crate::record::{Fact, StopReason};
use crate::runner::laws::BENCH;

fn procedure(cold: &str, rails: &str) -> String {
    format!(
        "{ONE_POINT}
stages:
  - stage: cold
    title: Cold
    source: none
    steps:
{cold}
  - stage: rails
    title: Rails
    source: bench-supply
    ceiling: {{voltage: 30 V, current: 1 A}}
    steps:
{rails}
"
    )
}

const SHORT: &str = "
      - step: short-in
        do: Clip the shorting lead on
        fits: shorting lead
";

const UP: &str = "
      - step: up
        set: {what: Bring the rail up, channels: [plus], to: 12 V, over: 10 s}
";

fn stopped(sitting: &RunAtBench) -> Option<&StopReason> {
    sitting.facts().iter().find_map(|fact| match fact {
        Fact::Stopped { reason, .. } => Some(reason),
        _ => None,
    })
}

fn is_still_fitted(sitting: &RunAtBench) -> bool {
    matches!(stopped(sitting), Some(StopReason::StillFitted { items, .. }) if items == &["shorting lead"])
}

#[test]
fn what_is_fitted_is_not_waved_through_by_clear() {
    let mut sitting = RunAtBench::new(&procedure(SHORT, UP));
    sitting.make_safe();
    sitting.say("done");
    assert!(is_still_fitted(&sitting), "{:?}", sitting.facts());

    let allowed = format!("{SHORT}        allowed_on: [bench-supply]\n").replace("\n\n  ", "\n  ");
    let mut sitting = RunAtBench::new(&procedure(&allowed, UP));
    sitting.make_safe();
    sitting.say("done");
    assert_eq!((sitting.key(), stopped(&sitting)), ("rails.clear", None));

    let elsewhere = allowed.replace("bench-supply", "mains");
    let mut sitting = RunAtBench::new(&procedure(&elsewhere, UP));
    sitting.make_safe();
    sitting.say("done");
    assert!(is_still_fitted(&sitting), "allowed on another source alone");
}

#[test]
fn nothing_is_fitted_on_live_equipment_that_may_not_be_there() {
    let mut sitting =
        RunAtBench::new(&procedure("      - {step: tidy, do: Tidy}", &format!("{UP}{SHORT}")));
    sitting.make_safe();
    sitting.say_all(&["done", "clear", "12"]);
    assert!(is_still_fitted(&sitting), "{:?}", sitting.facts());
}

#[test]
fn a_step_that_is_left_out_takes_nothing_out() {
    let out = "
      - step: short-out
        do: Take the shorting lead off
        by_hand: true
        removes: shorting lead
";
    let text = procedure(SHORT, &format!("{out}{UP}"));
    let mut sitting = RunAtBench::at_bench(&text, BENCH);
    sitting.make_safe();
    sitting.say("done");
    assert!(is_still_fitted(&sitting), "{:?}", sitting.facts());
    let is_removed = |fact: &Fact| matches!(fact, Fact::Removed { .. });
    assert!(!sitting.facts().iter().any(is_removed), "{:?}", sitting.facts());
    let is_done = |fact: &Fact| matches!(fact, Fact::Done { key, .. } if key == "short-out");
    assert!(sitting.facts().contains(&Fact::LeftOut("short-out".into())));
    assert!(!sitting.facts().iter().any(is_done), "what is left out is not done");

    let mut sitting = RunAtBench::new(&text);
    sitting.make_safe();
    sitting.say_all(&["done", "done"]);
    assert_eq!(sitting.key(), "rails.clear", "by hand it is done");
}

#[test]
fn a_reading_of_an_energised_stage_counts_only_while_its_source_is_on() {
    let read = "
      - step: rail
        read: {what: Rail, unit: V, window: {at_most: 15 V}}
";
    let middle = "
      - step: proof
        prove_dead: In the middle
";
    let tidy = "      - {step: tidy, do: Tidy}";
    let source_off = |sitting: &RunAtBench| matches!(stopped(sitting), Some(StopReason::SourceOff { key }) if key == "rail");
    let mut sitting = RunAtBench::new(&procedure(tidy, &format!("{read}{UP}")));
    sitting.make_safe();
    sitting.say("done");
    assert!(source_off(&sitting), "before: {:?}", sitting.facts());

    let mut sitting = RunAtBench::new(&procedure(tidy, &format!("{UP}{middle}{read}")));
    sitting.make_safe();
    sitting.say_all(&["done", "clear", "12"]);
    sitting.make_safe();
    assert!(source_off(&sitting), "after a proof: {:?}", sitting.facts());

    let mut sitting = RunAtBench::new(&procedure(tidy, &format!("{UP}{read}")));
    sitting.make_safe();
    sitting.say_all(&["done", "clear", "12"]);
    assert_eq!((sitting.key(), stopped(&sitting)), ("rail", None));
}
