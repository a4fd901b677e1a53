//! Taking work up again: where, and past which holds and notices.

use super::sitting::{ONE_POINT, RunAtBench};
use crate::record::Fact;

/// A cold stage with a hold, then two stages that share one live source.
fn ladder() -> RunAtBench {
    RunAtBench::new(&format!(
        r#"{ONE_POINT}
stages:
  - stage: cold
    title: Cold
    source: none
    hold: {{released_by: supervisor, ask: The plan}}
    steps:
      - step: first
        do: Take the cover off
      - step: second
        do: Look inside
  - stage: low
    title: Low
    source: bench-supply
    ceiling: {{voltage: 10 V, current: 1 A}}
    hazard: {{signal: warning, harm: death, risk: live rails, result: burns, avoid: hands out}}
    steps:
      - step: low-on
        set: {{what: Bring it up, to: 10 V}}
  - stage: high
    title: High
    source: bench-supply
    ceiling: {{voltage: 30 V, current: 1 A}}
    steps:
      - step: high-on
        set: {{what: Bring it up, to: 30 V}}
      - step: idle
        read: {{what: Current, unit: mA, window: {{at_most: 100 mA}}}}
"#
    ))
}

fn reentered(sitting: &RunAtBench) -> Option<(&str, Option<&str>)> {
    sitting.facts().iter().find_map(|fact| match fact {
        Fact::Reentered { stage, step } => Some((stage.as_str(), step.as_deref())),
        _ => None,
    })
}

/// The chain of stages on one live source, up to its last question.
fn live() -> RunAtBench {
    let mut sitting = ladder();
    sitting.say("Sam Second-Test").make_safe().say_all(&["done", "done", "read", "clear", "10 V"]);
    assert_eq!(sitting.key(), "high-on", "the source stays on from one stage to the next");
    sitting.say("30 V");
    assert_eq!(sitting.key(), "idle");
    sitting
}

#[test]
fn a_cold_step_is_taken_up_where_it_was() {
    let mut sitting = ladder();
    sitting.say("Sam Second-Test").make_safe().say("done").halt();
    sitting.resume().make_safe();
    assert_eq!(sitting.key(), "second");
}

#[test]
fn a_hold_is_not_passed_by_stopping_at_it() {
    let mut sitting = ladder();
    assert_eq!(sitting.key(), "cold.hold");
    sitting.halt().make_safe();
    sitting.resume().make_safe();
    assert_eq!(sitting.key(), "cold.hold");
}

#[test]
fn a_live_chain_is_begun_at_its_first_stage() {
    let mut sitting = live();
    sitting.say("400 mA").make_safe().say_all(&["again", "the clip came off"]);
    assert_eq!(reentered(&sitting), Some(("low", None)));
    assert_eq!(sitting.key(), "low.hazard");
    sitting.say("read");
    assert_eq!(sitting.key(), "low.clear", "nothing comes on without the word");
}

#[test]
fn resuming_a_live_chain_makes_safe_first() {
    let mut sitting = live();
    sitting.resume();
    assert_eq!(sitting.key(), "make-safe.off");
    sitting.make_safe();
    assert_eq!((reentered(&sitting), sitting.key()), (Some(("low", None)), "low.hazard"));
}
