//! A slip of the fingers costs one more look and no stop; what may be true and dangerous stops at once.

use super::sitting::{RunAtBench, cold, rails};
use crate::record::{Fact, Refusal, StopReason};

const EARTH: &str = "
- step: earth
  read: {what: Earth pin to the case, unit: ohm, window: {at_most: 0.3 ohm}}
- step: tidy
  do: Tidy the wires
";

const IDLE: &str = "
- step: idle
  read: {what: Current, unit: mA, window: {between: [20 mA, 100 mA]}}
- step: \"off\"
  set: {what: Outputs off, power: \"off\"}
";

fn earth() -> RunAtBench {
    let mut sitting = RunAtBench::new(&cold(EARTH));
    sitting.make_safe();
    sitting
}

fn idle() -> RunAtBench {
    let mut sitting = RunAtBench::new(&rails(IDLE));
    sitting.live();
    sitting
}

fn is_doubted(sitting: &RunAtBench) -> bool {
    let doubted = |fact: &Fact| matches!(fact, Fact::Refused { reason: Refusal::Doubted, .. });
    sitting.facts().iter().any(doubted)
}

fn is_stopped(sitting: &RunAtBench) -> bool {
    let outside = |fact: &Fact| matches!(fact, Fact::Stopped { reason: StopReason::Outside, .. });
    sitting.facts().iter().any(outside)
}

#[test]
fn a_slip_is_asked_for_once_more_and_what_was_typed_stays_in_the_record() {
    let mut sitting = earth();
    sitting.say("1.2 ohm");
    assert!(is_doubted(&sitting), "{:?}", sitting.facts());
    let kept = |fact: &Fact| matches!(fact, Fact::Refused { text, .. } if text == "1.2 ohm");
    assert!(sitting.facts().iter().any(kept));
    assert_eq!(sitting.key(), "earth");
    sitting.say("0.12 ohm");
    assert_eq!(sitting.key(), "tidy");
}

#[test]
fn what_is_typed_again_stands() {
    let mut sitting = earth();
    sitting.say_all(&["1.2 ohm", "1.2 ohm"]);
    assert!(is_stopped(&sitting), "{:?}", sitting.facts());
}

#[test]
fn what_no_slip_explains_stops_at_once() {
    let mut sitting = earth();
    sitting.say("7 ohm");
    assert!(is_stopped(&sitting), "{:?}", sitting.facts());
}

#[test]
fn live_what_would_be_dangerous_if_it_were_true_stops_at_once() {
    for text in ["600 mA", "-600 mA"] {
        let mut sitting = idle();
        sitting.say(text);
        assert!(is_stopped(&sitting) && !is_doubted(&sitting), "{text}: {:?}", sitting.facts());
        assert_eq!(sitting.key(), "make-safe.off");
    }
}

#[test]
fn live_what_is_too_small_or_more_than_the_supply_can_deliver_is_asked_for_once_more() {
    for text in ["6 mA", "6 A", "7.5 A"] {
        let mut sitting = idle();
        sitting.say(text);
        assert!(is_doubted(&sitting) && !is_stopped(&sitting), "{text}: {:?}", sitting.facts());
        sitting.say(text);
        assert!(is_stopped(&sitting), "{text} again");
    }
}

/// A record of a version before 0.4 plays again as it was.
#[test]
fn a_run_of_an_earlier_version_stops_at_once() {
    let mut sitting = RunAtBench::of_version(&cold(EARTH), "0.3.0");
    sitting.make_safe().say("1.2 ohm");
    assert!(is_stopped(&sitting));
}
