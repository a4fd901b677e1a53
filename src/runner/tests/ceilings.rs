//! Ceilings: what they do not allow is refused before the source comes on.

use super::sitting::{ONE_POINT, Sitting};
use crate::record::{Fact, StopReason};
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
    let mut sitting = Sitting::at_bench(procedure, BENCH);
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
    assert!(refused.as_ref().is_some_and(|own| own.ends_with(words)), "{refused:?}");
    assert_eq!(refusal(&rails("{voltage: 15 V, current: 1 A}", "15 V")), None);
}

#[test]
fn a_ceiling_under_which_nothing_can_be_delivered_is_refused() {
    let refused = refusal(&rails("{voltage: 12 V - 50 V, current: 1 A}", "5 V"));
    let words = "the ceiling comes to -38 V: it has to be above nought";
    assert!(refused.as_ref().is_some_and(|own| own.ends_with(words)), "{refused:?}");
}

#[test]
fn a_ceiling_above_what_a_connected_output_can_do_is_no_lost_instrument() {
    let refused = refusal(&rails("{voltage: 900 V, current: 1 A}", "5 V"));
    let words = "of output `plus`";
    assert!(refused.as_ref().is_some_and(|own| own.ends_with(words)), "{refused:?}");
}
