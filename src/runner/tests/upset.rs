//! A machine that slept, a clock that was set, and nobody there at a question.

use super::sitting::{ONE_POINT, RunAtBench, cold, rails};
use crate::record::{Energy, Event, Fact, StopReason};
use crate::runner::{Effect, Presence};

const NINE_HOURS_MS: u64 = 9 * 3_600_000;

const COLD: &str = "
- step: joints
  look: {at: The joints, good: [whole], bad: [{say: cracked, likely: age, next: solder them}]}
- step: tidy
  do: Tidy the wires
";

fn slept() -> Event {
    Event::ClockUpset { slept_ms: NINE_HOURS_MS, set_ms: 0 }
}

fn set(set_ms: i64) -> Event {
    Event::ClockUpset { slept_ms: 0, set_ms }
}

#[test]
fn after_a_sleep_nothing_is_known_and_work_goes_on_only_once_it_is_proved_dead_again() {
    let mut sitting = RunAtBench::new(&cold(COLD));
    sitting.make_safe();
    assert_eq!(sitting.key(), "joints");
    sitting.event(slept());
    assert_eq!(sitting.effects().first(), Some(&Effect::OutputsOff));
    let reason = StopReason::ClockUpset { slept_ms: NINE_HOURS_MS, set_ms: 0 };
    assert!(sitting.facts().contains(&Fact::Stopped { key: Some("joints".into()), reason }));
    assert_eq!((sitting.key(), &sitting.question().energy), ("make-safe.off", &Energy::Unknown));
    let stop = sitting.question().stop.clone().unwrap();
    assert!(stop.what.starts_with("The machine slept for 9 h: "), "{}", stop.what);
    sitting.make_safe();
    assert_eq!((sitting.key(), &sitting.question().energy), ("joints", &Energy::ProvedDead));
}

#[test]
fn a_source_that_was_cleared_to_come_on_does_not_come_on_after_a_sleep() {
    let mut sitting = RunAtBench::new(&rails(""));
    sitting.say("clear").make_safe();
    assert_eq!(sitting.key(), "rails.clear");
    sitting.event(slept());
    assert_eq!(sitting.key(), "make-safe.off");
    assert!(!sitting.effects().iter().any(|effect| matches!(effect, Effect::Energise(_))));
}

#[test]
fn a_clock_that_is_set_on_live_equipment_switches_it_off_either_way() {
    for set_ms in [-3_600_000, 3_600_000] {
        let mut sitting = RunAtBench::new(&rails(
            "- step: idle\n  read: {what: Idle, unit: mA, window: {at_most: 1 A}}\n",
        ));
        sitting.live();
        assert!(sitting.question().energy.is_energised());
        sitting.event(set(set_ms));
        assert_eq!(sitting.effects().first(), Some(&Effect::OutputsOff));
        assert_eq!(
            (sitting.key(), &sitting.question().energy),
            ("make-safe.off", &Energy::Unknown)
        );
    }
}

#[test]
fn a_clock_that_is_set_on_dead_equipment_voids_the_proof_and_stops_nothing() {
    let mut sitting = RunAtBench::new(&cold(COLD));
    sitting.say("whole").make_safe();
    assert_eq!((sitting.key(), &sitting.question().energy), ("tidy", &Energy::ProvedDead));
    sitting.event(set(-60_000));
    assert!(sitting.facts().contains(&Fact::ClockSet { set_ms: -60_000 }));
    assert!(sitting.facts().contains(&Fact::Energy { state: Energy::Isolated }));
    assert_eq!(sitting.key(), "dead.before", "hands wait for a proof");
    sitting.say_all(&["9 V", "0 V"]);
    assert_eq!(sitting.key(), "dead.after");
    sitting.event(set(60_000));
    assert_eq!(sitting.key(), "dead.before", "a proof that was being made begins again");
    sitting.make_safe();
    assert_eq!(sitting.key(), "tidy");
}

const MAINS: &str = "
presence_every: 1 min
stages:
  - stage: rails
    title: Mains
    source: mains
    ceiling: {voltage: 230 V, current: 1 A}
    steps:
      - step: \"on\"
        set: {what: Switch on, power: \"on\"}
      - step: lamp
        look: {at: The lamp, good: [dim], bad: [{say: bright, likely: a short, next: look for it}]}
";

#[test]
fn at_a_question_on_the_mains_somebody_has_to_be_there_too() {
    let mut sitting = RunAtBench::new(&format!("{ONE_POINT}{MAINS}"));
    sitting.live();
    assert_eq!(sitting.key(), "lamp");
    let presence = Presence { every_ms: 60_000, grace_ms: 60_000 };
    assert_eq!(sitting.question().presence, Some(presence));
    sitting.event(Event::Unattended { key: "lamp".into(), ms: 120_000 });
    assert_eq!(sitting.effects().first(), Some(&Effect::OutputsOff));
    assert_eq!(sitting.key(), "make-safe.off");
    assert_eq!(sitting.question().presence, None, "the stop is the alarm");
}

#[test]
fn at_a_question_about_dead_equipment_nobody_has_to_be_there() {
    let mut sitting = RunAtBench::new(&cold(COLD));
    sitting.make_safe();
    assert_eq!(sitting.question().presence, None);
    sitting.event(Event::Unattended { key: "joints".into(), ms: 120_000 });
    assert!(sitting.effects().is_empty());
}
