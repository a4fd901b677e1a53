//! Results that count no longer once what they depend on is moved: dropped, and taken again before anything builds on
//! them.

use super::sitting::{ONE_POINT, RunAtBench, cold, rails};
use crate::record::{Fact, StopReason};
use crate::runner::Effect;

/// A reading, what is worked out from it, and a control that is turned afterwards.
const TRIMMED: &str = "
- step: offset
  read: {what: Offset, unit: mV, window: {at_most: 50 mV}}
  for_each: [left, right]
  depends_on: [bias]
- step: apart
  work_out: {what: Offsets apart, value: offset.left - offset.right, unit: mV, window: {at_most: 50 mV}}
- step: supply
  read: {what: Current, unit: mA, window: {at_most: 50 mA}}
- step: trim
  do: Turn the bias up
  for_each: [left, right]
  moves: bias
";

fn keys(sitting: &RunAtBench) -> Vec<&str> {
    sitting.facts().iter().map(name).collect()
}

fn name(fact: &Fact) -> &str {
    match fact {
        Fact::Judged { key, .. } => key.as_str(),
        Fact::Stale { .. } => "(stale)",
        Fact::WentBack { .. } => "(back)",
        Fact::StageHeld { stage } => stage,
        _ => "-",
    }
}

/// The offsets and the supply's current, with the question at the control.
fn before_the_control(sitting: &mut RunAtBench) {
    sitting.say_all(&["10 mV", "12 mV", "20 mA"]);
    assert_eq!(sitting.key(), "trim.left");
}

fn is(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

#[test]
fn what_depends_on_it_is_dropped_with_what_was_worked_out_from_it() {
    let mut sitting = RunAtBench::new(&cold(TRIMMED));
    sitting.make_safe();
    before_the_control(&mut sitting);
    sitting.say("done");
    let stale = Fact::Stale { steps: is(&["offset", "apart"]), because: "bias".to_owned() };
    assert!(sitting.facts().contains(&stale), "{:?}", sitting.facts());
    sitting.say("done");
    assert_eq!(
        keys(&sitting),
        ["-", "(back)"],
        "the second part moves it too, but nothing counts any more"
    );
    assert!(sitting.facts().contains(&Fact::WentBack { steps: is(&["offset", "apart"]) }));
}

#[test]
fn it_is_taken_again_alone_before_the_stage_holds() {
    let mut sitting = RunAtBench::new(&cold(TRIMMED));
    sitting.make_safe();
    before_the_control(&mut sitting);
    sitting.say_all(&["done", "done"]);
    assert_eq!(sitting.key(), "offset.left");
    assert_eq!(sitting.question().place.step_number, 1);
    sitting.say("15 mV");
    assert_eq!(sitting.key(), "offset.right");
    sitting.say("16 mV");
    assert_eq!(keys(&sitting)[..3], ["offset.right", "apart", "cold"], "{:?}", sitting.facts());
    assert!(sitting.effects().iter().any(|effect| matches!(effect, Effect::Finish(_))));
}

#[test]
fn it_is_taken_again_before_the_source_goes_off() {
    let off = "- step: switched-off\n  set: {what: Outputs off, power: \"off\"}\n";
    let mut sitting = RunAtBench::new(&rails(&format!("{TRIMMED}{off}")));
    sitting.live();
    before_the_control(&mut sitting);
    sitting.say_all(&["done", "done"]);
    assert_eq!(sitting.key(), "offset.left");
    assert!(sitting.question().energy.is_energised(), "it is read as it was");
    sitting.say_all(&["15 mV", "16 mV"]);
    assert_eq!(sitting.key(), "switched-off");
}

#[test]
fn what_uses_it_waits_for_it() {
    let uses = "
- step: drift
  read: {what: Offset later, unit: mV, window: {near: max(offset), within: 5 mV}}
- step: tidy
  do: Tidy the wires
";
    let mut sitting = RunAtBench::new(&cold(&format!("{TRIMMED}{uses}")));
    sitting.make_safe();
    before_the_control(&mut sitting);
    sitting.say_all(&["done", "done"]);
    assert_eq!(sitting.key(), "offset.left");
    sitting.say_all(&["30 mV", "32 mV"]);
    assert_eq!(sitting.key(), "drift");
    sitting.say("31 mV");
    assert_eq!(sitting.key(), "tidy", "judged against the new value");
}

#[test]
fn an_outside_value_taken_again_stops_like_any_other() {
    let mut sitting = RunAtBench::new(&cold(TRIMMED));
    sitting.make_safe();
    before_the_control(&mut sitting);
    sitting.say_all(&["done", "done", "80 mV"]);
    let stopped = Fact::Stopped { key: Some("offset.left".into()), reason: StopReason::Outside };
    assert!(sitting.facts().contains(&stopped), "{:?}", sitting.facts());
    sitting.make_safe().say_all(&["again", "the probe had slipped"]);
    assert_eq!(sitting.key(), "offset.left");
}

#[test]
fn what_was_taken_before_a_repair_is_not_dropped_once_more() {
    let steps = "
- step: trim
  do: Turn the bias down
  moves: bias
- step: offset
  read: {what: Offset, unit: mV, window: {at_most: 50 mV}}
  depends_on: [bias]
- step: tidy
  look: {at: The wires, good: [tidy], bad: [{say: loose, likely: haste, next: tie them}]}
";
    let mut sitting = RunAtBench::new(&cold(steps));
    sitting.make_safe().say_all(&["done", "10 mV", "loose"]).make_safe();
    sitting.say_all(&["repaired", "the wires"]).make_safe();
    assert_eq!(sitting.key(), "trim");
    sitting.say("done");
    assert_eq!((keys(&sitting), sitting.key()), (vec!["-"], "offset"));
}

/// A reading on the bench supply that the control of a later, cold stage undoes: the checks refuse it.
const TOO_LATE: &str = r#"
stages:
  - stage: low
    title: Low
    source: bench-supply
    ceiling: {voltage: 10 V, current: 1 A}
    steps:
      - step: low-on
        set: {what: Bring it up, to: 10 V}
      - step: idle
        read: {what: Current, unit: mA, window: {at_most: 100 mA}}
        depends_on: [bias]
      - step: low-off
        set: {what: Outputs off, power: "off"}
  - stage: full
    title: Full
    source: mains
    ceiling: {voltage: 230 V, current: 1 A}
    steps:
      - step: full-dead
        prove_dead: Before the control
      - step: trim
        do: Turn the bias down
        moves: bias
      - step: cover
        do: Put the cover on
      - step: full-on
        set: {what: Switch on, power: "on"}
"#;

#[test]
fn the_source_never_comes_on_past_an_earlier_stage_that_no_longer_holds() {
    let mut sitting = RunAtBench::new(&format!("{ONE_POINT}{TOO_LATE}"));
    for _ in 0..3 {
        sitting.say("clear").make_safe();
        if sitting.key() == "low.clear" {
            sitting.say("clear");
        }
        sitting.say_all(&["10 V", "50 mA", "off"]).make_safe();
        assert_eq!(sitting.key(), "trim");
        sitting.say_all(&["done", "done"]);
        let back = Fact::WentBack { steps: is(&["idle"]) };
        let taken_up = Fact::Reentered { stage: "low".to_owned(), step: None };
        assert!(sitting.facts().contains(&back) && sitting.facts().contains(&taken_up));
        assert_eq!(sitting.key(), "low.clear", "and not full.clear");
    }
}

#[test]
fn stopping_after_the_control_is_no_way_past_it() {
    let mut sitting = RunAtBench::new(&format!("{ONE_POINT}{TOO_LATE}"));
    sitting.say("clear").make_safe().say_all(&["clear", "10 V", "50 mA", "off"]).make_safe();
    sitting.say("done");
    assert_eq!(sitting.key(), "cover");
    sitting.halt().resume().make_safe();
    assert_eq!(sitting.key(), "low.clear");
    let opened = |fact: &Fact| matches!(fact, Fact::StageOpened { stage, .. } if stage == "full");
    assert!(!sitting.facts().iter().any(opened), "{:?}", sitting.facts());
}

/// Two cold stages; the second one's control undoes a reading of the first.
#[test]
fn the_next_stage_on_the_same_source_goes_back_to_the_one_before() {
    let second = "
  - stage: second
    title: Second
    source: none
    steps:
      - step: change
        do: Change the resistor
        moves: bias
      - step: tidy
        do: Tidy the wires
";
    let reading = "
- step: offset
  read: {what: Offset, unit: mV, window: {at_most: 50 mV}}
  depends_on: [bias]
";
    let mut sitting = RunAtBench::new(&format!("{}{second}", cold(reading)));
    sitting.make_safe().say_all(&["10 mV", "done", "done"]);
    assert_eq!((sitting.key(), sitting.question().place.stage_number), ("offset", 1));
    sitting.say("20 mV");
    assert_eq!(keys(&sitting)[..2], ["offset", "second"]);
}
