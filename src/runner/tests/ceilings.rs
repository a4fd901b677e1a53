//! Ceilings: what they do not allow is refused before the source comes on.

use super::sitting::{ONE_POINT, RunAtBench};
use crate::record::{Energy, Fact, StopReason};
use crate::runner::Effect;
use crate::runner::laws::BENCH;

/// A stage on the bench supply that brings the output `plus` to a voltage.
fn rails(ceiling: &str, to: &str) -> String {
    format!(
        "{ONE_POINT}
stages:
  - stage: rails
    title: Rails
    source: bench-supply
    ceiling: {ceiling}
    steps:
      - step: up
        set: {{what: Bring the rail up, channels: [plus], to: {to}, over: 10 s}}
"
    )
}

/// Answers what is asked until the run has stopped or its source has come on; gives the sentence it stopped with.
fn refusal(procedure: &str) -> Option<String> {
    let mut sitting = RunAtBench::at_bench(procedure, BENCH);
    loop {
        for fact in sitting.facts() {
            if let Fact::Stopped { reason, .. } = fact {
                assert!(matches!(reason, StopReason::CouldNotWorkOut { .. }), "{reason:?}");
                return Some(reason.words());
            }
        }
        if sitting.effects().iter().any(|effect| matches!(effect, Effect::Energise(_))) {
            return None;
        }
        match sitting.key() {
            "rails.clear" => sitting.say("clear"),
            _ => sitting.make_safe(),
        };
    }
}

#[test]
fn a_setting_above_the_ceiling_of_its_stage_is_refused_before_the_source_comes_on() {
    let refused = refusal(&rails("{voltage: 15 V, current: 1 A}", "15.01875 V"));
    let words = "`up`: 15.01875 V is to be set, above the stage's ceiling of 15 V";
    assert!(refused.as_ref().is_some_and(|refused| refused.ends_with(words)), "{refused:?}");
    assert_eq!(refusal(&rails("{voltage: 15 V, current: 1 A}", "15 V")), None);
}

#[test]
fn a_ceiling_under_which_nothing_can_be_delivered_is_refused() {
    let refused = refusal(&rails("{voltage: 12 V - 50 V, current: 1 A}", "5 V"));
    let words = "the ceiling comes to -38 V: it has to be above zero";
    assert!(refused.as_ref().is_some_and(|refused| refused.ends_with(words)), "{refused:?}");
}

#[test]
fn a_ceiling_above_what_a_connected_output_can_do_is_no_lost_instrument() {
    let refused = refusal(&rails("{voltage: 900 V, current: 1 A}", "5 V"));
    let words = "of output `plus`";
    assert!(refused.as_ref().is_some_and(|refused| refused.ends_with(words)), "{refused:?}");
}

/// Two stages on the supply; the second has a ceiling from a reading of the first, which a control undoes.
fn from_a_reading(ceiling: &str) -> String {
    format!(
        "{ONE_POINT}
stages:
  - stage: low
    title: Low
    source: bench-supply
    ceiling: {{voltage: 5 V, current: 1 A}}
    steps:
      - step: up
        set: {{what: Bring the rail up, to: 5 V}}
      - step: seen
        read: {{what: Rail, unit: V, window: {{at_least: 1 V}}}}
        depends_on: [bias]
  - stage: high
    title: High
    source: bench-supply
    ceiling: {ceiling}
    hazard: {{signal: caution, harm: minor-injury, risk: r, result: r, avoid: a}}
    steps:
      - step: turn
        do: Turn the bias up
        moves: bias
      - step: higher
        set: {{what: Bring the rail up, to: 2 * seen}}
"
    )
}

fn in_high(ceiling: &str, seen: &str) -> RunAtBench {
    let mut sitting = RunAtBench::new(&from_a_reading(ceiling));
    sitting.say("clear").make_safe();
    sitting.say_all(&["clear", "5", seen]);
    sitting
}

fn live_ceiling(sitting: &RunAtBench) -> String {
    match &sitting.question().energy {
        Energy::Energised { ceiling: Some(ceiling), .. } => ceiling.voltage.to_string(),
        other => format!("{other:?}"),
    }
}

#[test]
fn a_ceiling_rises_with_the_set_of_its_stage_and_not_before_its_notice() {
    let mut sitting = in_high("{voltage: 2 * seen, current: 1 A}", "5");
    assert_eq!((sitting.key(), live_ceiling(&sitting).as_str()), ("high.hazard", "5 V"));
    sitting.say_all(&["read", "done", "5"]);
    assert_eq!((sitting.key(), live_ceiling(&sitting).as_str()), ("higher", "10 V"));
}

#[test]
fn a_ceiling_stays_as_it_was_when_its_stage_opened() {
    let mut sitting = in_high("{voltage: 2 * seen, current: 1 A}", "5");
    // The reading is taken again, and has grown.
    sitting.say_all(&["read", "done", "50"]);
    let stopped = sitting.facts().iter().find_map(|fact| match fact {
        Fact::Stopped { reason, .. } => Some(reason.words()),
        _ => None,
    });
    let words = "`higher`: 100 V is to be set, above the stage's ceiling of 10 V";
    assert!(stopped.as_ref().is_some_and(|stopped| stopped.ends_with(words)), "{stopped:?}");
}

#[test]
fn a_ceiling_that_no_such_source_has_stops_before_anything_comes_on() {
    for ceiling in ["{voltage: 2 * seen, current: 200 A}", "{voltage: 300 * seen, current: 1 A}"] {
        let sitting = in_high(ceiling, "5");
        let is_stop = |fact: &Fact| {
            matches!(fact, Fact::Stopped { reason: StopReason::CouldNotWorkOut { .. }, .. })
        };
        assert!(sitting.facts().iter().any(is_stop), "{ceiling}: {:?}", sitting.facts());
        assert_eq!(sitting.effects().first(), Some(&Effect::OutputsOff));
    }
}
