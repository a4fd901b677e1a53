//! Stops: what the person can decide, and what is left of it later.

use chrono::DateTime;

use super::sitting::{ONE_POINT, RunAtBench, cold, rails};
use crate::record::{Energy, Event, Fact, Moment, Outcome, Source, StopReason};
use crate::runner::batch::Batch;
use crate::runner::{Effect, Expects, Setting};

const TWO: &str = "
- step: first
  read: {what: First, unit: ohm, window: {at_least: 1 kohm}}
- step: second
  read: {what: Second, unit: ohm, window: {at_least: 1 kohm}}
";

/// Stopped at the second reading, safe, asked what next.
fn stopped() -> RunAtBench {
    let mut sitting = RunAtBench::new(&cold(TWO));
    sitting.make_safe().say_all(&["2 kohm", "7 ohm"]);
    assert_eq!(sitting.key(), "what-next");
    sitting
}

fn choices(sitting: &RunAtBench) -> Vec<String> {
    let Expects::Choice(choices) = &sitting.question().expects else { return Vec::new() };
    choices.iter().map(|choice| choice.say.clone()).collect()
}

fn closed(sitting: &RunAtBench) -> Option<(Outcome, bool, bool)> {
    sitting.facts().iter().find_map(|fact| match fact {
        Fact::Closed { outcome, safe, resumable, .. } => Some((*outcome, *safe, *resumable)),
        _ => None,
    })
}

#[test]
fn again_takes_the_same_reading_and_says_why() {
    let mut sitting = stopped();
    sitting.say_all(&["again", ""]);
    assert_eq!(sitting.key(), "what-next.why", "a reason is written down");
    sitting.say("the probe slipped");
    let why = "the probe slipped".to_owned();
    assert_eq!(sitting.facts()[0], Fact::Again { key: "second".into(), why });
    assert_eq!((sitting.key(), &sitting.question().stop), ("second", &None));
    sitting.say("2 kohm");
    assert!(matches!(&sitting.facts()[0], Fact::Judged { attempt: 2, .. }));
    assert_eq!(closed(&sitting), Some((Outcome::Finished, true, false)));
}

#[test]
fn repaired_begins_at_the_first_stage() {
    let mut sitting = stopped();
    sitting.say_all(&["repaired", "a new resistor"]);
    assert_eq!(sitting.facts()[0], Fact::Repaired { what: "a new resistor".to_owned() });
    assert_eq!(sitting.key(), "first");
}

#[test]
fn what_was_read_before_a_repair_is_forgotten() {
    let mut sitting = stopped();
    assert!(sitting.runner().scope.values("first").is_some());
    sitting.say_all(&["repaired", "a new resistor"]);
    assert_eq!(sitting.runner().scope.values("first"), None);
    sitting.say("3 kohm");
    assert_eq!(sitting.runner().scope.values("first").unwrap().len(), 1);
}

#[test]
fn nothing_that_was_decided_before_a_stop_is_carried_out_after_it() {
    let mut sitting = RunAtBench::new(&rails(TWO));
    sitting.live();
    let wall = DateTime::from_timestamp_millis(0).unwrap().fixed_offset();
    let mut batch = Batch::new(Moment { wall, elapsed_ms: 0 });
    let setting = Setting { source: Source::BenchSupply, ceiling: None, outputs: Vec::new() };
    batch.effects.push(Effect::Energise(setting));
    let signal = "SIGINT".to_owned();
    sitting.runner().stop(&mut batch, StopReason::Interrupted { signal });
    assert!(batch.outputs_off && batch.effects.is_empty(), "{:?}", batch.effects);
}

/// Two stages fed by two sources, with nothing between them that switches the first one off.
const FROM_ONE_SOURCE_TO_ANOTHER: &str = r#"
stages:
  - stage: rails
    title: Rails
    source: bench-supply
    ceiling: {voltage: 30 V, current: 1 A}
    steps:
      - {step: "on", set: {what: Outputs on, power: "on"}}
  - stage: direct
    title: Direct
    source: mains
    ceiling: {voltage: 230 V, current: 2 A}
    steps:
      - {step: outlet, set: {what: Outlet on, power: "on"}}
"#;

#[test]
fn the_next_source_never_comes_on_while_the_former_is_on() {
    let mut sitting = RunAtBench::new(&format!("{ONE_POINT}{FROM_ONE_SOURCE_TO_ANOTHER}"));
    sitting.live();
    assert_eq!(sitting.key(), "make-safe.off");
    assert!(sitting.question().what.contains("bench supply"), "{}", sitting.question().what);
    sitting.make_safe();
    assert_eq!((sitting.key(), &sitting.question().energy), ("direct.clear", &Energy::ProvedDead));
}

/// What the screen says that comes next, at each question of a stage that is fed and switched off again.
#[test]
fn what_comes_next_is_said_until_the_source_is_on_and_not_after_its_last_switch_off() {
    let off = "- step: \"off\"\n  set: {what: Outputs off, power: \"off\"}";
    let again = "- step: \"again\"\n  set: {what: Outputs on again, power: \"on\"}";
    for (steps, after_off) in [(off.to_owned(), false), (format!("{off}\n{again}\n"), true)] {
        let mut sitting = RunAtBench::new(&rails(&steps));
        let coming = |sitting: &RunAtBench| sitting.question().place.coming.clone();
        assert_eq!(coming(&sitting).as_deref(), Some("bench supply, up to 30.0 V, 1.00 A"));
        sitting.live();
        assert_eq!((sitting.key(), coming(&sitting)), ("off", None), "it is on");
        sitting.say("off");
        assert_eq!(sitting.key(), "make-safe.wait");
        assert_eq!(coming(&sitting).is_some(), after_off, "after {steps}");
    }
}

#[test]
fn a_proof_that_makes_safe_has_no_basis_and_no_reason_of_the_step_that_was_stopped() {
    let step = "
- step: short
  read: {what: Between the rails, unit: ohm, window: {at_least: 100 ohm}}
  why: The rectifier is judged by it.
  basis: data sheet
- step: again
  prove_dead: Before hands go in
  basis: shop rule
";
    let basis = |sitting: &RunAtBench| {
        sitting.facts().iter().find_map(|fact| match fact {
            Fact::Judged { basis, .. } => Some(basis.clone()),
            _ => None,
        })
    };
    let mut sitting = RunAtBench::new(&cold(step));
    sitting.make_safe().say("100 kohm");
    assert_eq!(basis(&sitting), Some(Some("data sheet".to_owned())));
    // The proof of a step is judged on that step's basis.
    assert_eq!(sitting.question().basis.as_deref(), Some("shop rule"));
    sitting.say_all(&["not sure", "off"]).sit_out();
    assert_eq!(sitting.question().basis.as_deref(), Some("shop rule"));
    sitting.say("9 V");
    assert_eq!(basis(&sitting), Some(Some("shop rule".to_owned())));

    let mut sitting = RunAtBench::new(&cold(step));
    sitting.make_safe().pass(40 * 60 * 1000).say("7 ohm");
    while sitting.key() != "dead.before" {
        let off = sitting.key() == "make-safe.off";
        if off {
            sitting.say("off")
        } else {
            sitting.sit_out()
        };
    }
    assert_eq!((&sitting.question().basis, &sitting.question().why), (&None, &None));
    sitting.say("9 V");
    assert_eq!(basis(&sitting), Some(None));
}

#[test]
fn later_leaves_the_decision_for_the_next_sitting() {
    let mut sitting = stopped();
    sitting.say("later");
    assert_eq!(closed(&sitting), Some((Outcome::StoppedOnReading, true, true)));
    sitting.resume();
    assert_eq!((sitting.key(), &sitting.question().energy), ("make-safe.off", &Energy::Unknown));
    sitting.make_safe();
    assert_eq!(sitting.key(), "what-next");
    let stop = sitting.question().stop.clone().unwrap();
    assert!(
        stop.what.contains("Second: 7 ohm is outside"),
        "the reading stays in sight: {}",
        stop.what
    );
}

#[test]
fn end_ends_for_good() {
    let mut sitting = stopped();
    sitting.say("end");
    assert_eq!(closed(&sitting), Some((Outcome::StoppedOnReading, true, false)));
    for again in [RunAtBench::resume, RunAtBench::halt] {
        assert!(again(&mut sitting).effects().is_empty());
    }
}

#[test]
fn what_next_takes_only_its_own_answers() {
    let mut sitting = stopped();
    for text in ["", "ok", "continue", "done"] {
        sitting.say(text);
        assert_eq!(sitting.key(), "what-next", "`{text}`");
    }
    sitting.decline("no time");
    assert_eq!(sitting.key(), "what-next");
}

#[test]
fn making_safe_is_not_declined_at_any_of_its_questions() {
    let mut sitting = RunAtBench::new(&rails(""));
    sitting.live();
    sitting.halt();
    for (key, answer) in [
        ("make-safe.off", "off"),
        ("dead.before", "9 V"),
        ("dead.plus", "0 V"),
        ("dead.after", "9 V"),
    ] {
        if sitting.key() == "make-safe.wait" {
            sitting.sit_out();
        }
        assert_eq!(sitting.key(), key);
        sitting.decline("it does not fit");
        assert!(sitting.refusal().is_some(), "{key}: {:?}", sitting.facts());
        assert_eq!(sitting.key(), key, "it is asked again, and nothing else");
        let stops = |fact: &&Fact| matches!(fact, Fact::Stopped { .. });
        assert_eq!(sitting.facts().iter().find(stops), None, "{key}");
        sitting.say(answer);
    }
    assert_eq!(closed(&sitting).map(|(_, safe, _)| safe), Some(true));
}

#[test]
fn ending_long_after_the_proof_proves_again() {
    let mut sitting = stopped();
    sitting.pass(40 * 60 * 1000).say("end");
    assert_eq!(sitting.key(), "dead.before");
    sitting.make_safe();
    assert_eq!(closed(&sitting), Some((Outcome::StoppedOnReading, true, false)));
}

#[test]
fn a_decision_asked_for_after_the_proof_ran_out_does_not_say_safe() {
    let mut sitting = stopped();
    sitting.pass(40 * 60 * 1000).say("nonsense");
    assert_eq!((sitting.key(), &sitting.question().energy), ("what-next", &Energy::Isolated));
    assert!(!sitting.question().what.contains("safe"), "{}", sitting.question().what);
}

#[test]
fn a_third_failure_offers_no_fourth_try_until_something_is_repaired() {
    let mut sitting = stopped();
    for _ in 0..2 {
        assert_eq!(choices(&sitting), ["again", "repaired", "later", "end"]);
        sitting.say_all(&["again", "the probe slipped", "7 ohm"]);
    }
    assert_eq!(choices(&sitting), ["repaired", "later", "end"]);
    sitting.say("again");
    assert_eq!(sitting.key(), "what-next");
    sitting.say_all(&["repaired", "a new resistor", "2 kohm", "7 ohm"]);
    assert_eq!(choices(&sitting)[0], "again", "the count begins again");
    assert!(matches!(&sitting.facts()[0], Fact::Judged { attempt: 4, .. }), "the numbers do not");
}

#[test]
fn a_stop_on_live_equipment_says_live_until_the_source_is_off() {
    let mut sitting = RunAtBench::new(&rails(TWO));
    sitting.live().say("7 ohm");
    assert_eq!(sitting.effects()[0], Effect::OutputsOff);
    assert_eq!(sitting.key(), "make-safe.off");
    assert!(sitting.question().energy.is_energised());
    assert!(sitting.question().what.contains("bench supply"), "{}", sitting.question().what);
    sitting.say("off");
    assert_eq!(sitting.question().place.coming, None, "making safe comes next");
    assert_eq!(sitting.question().energy, Energy::Isolated);
}

#[test]
fn leaving_live_equipment_is_not_safe() {
    let mut sitting = RunAtBench::new(&rails(TWO));
    sitting.live().event(Event::Abandoned { reason: "the terminal is gone".into() });
    assert_eq!(sitting.effects()[0], Effect::OutputsOff);
    assert_eq!(closed(&sitting), Some((Outcome::LeftUnfinished, false, true)));
}

#[test]
fn a_run_whose_record_failed_is_made_safe_and_ends() {
    let mut sitting = RunAtBench::new(&rails(TWO));
    sitting.live().event(Event::RecordFailed { error: "no space left".to_owned() });
    assert_eq!(
        (sitting.effects()[0].clone(), sitting.key()),
        (Effect::OutputsOff, "make-safe.off")
    );
    sitting.make_safe();
    assert_eq!(sitting.effects(), [Effect::Finish(Outcome::CouldNotRecord)]);
    assert!(sitting.resume().effects().is_empty());
}

fn unconfirmed(is_on: bool) -> Event {
    let (instrument, error) = ("supply".to_owned(), "no reply".to_owned());
    Event::OffUnconfirmed { instrument, error, outputs: vec!["plus".to_owned()], is_on }
}

#[test]
fn a_silent_output_is_taken_for_off_on_the_word_that_its_plug_is_out_and_no_sooner() {
    let mut sitting = RunAtBench::new(&cold(TWO));
    sitting.halt();
    sitting.event(unconfirmed(false));
    let question = sitting.question();
    assert_eq!((question.key.as_str(), &question.energy), ("make-safe.off", &Energy::Unknown));
    assert!(question.what.starts_with("PULL THE PLUG of supply"), "{}", question.what);
    let alarm = question.alarm.as_deref();
    assert_eq!(alarm, Some("OUTPUT plus of supply NOT CONFIRMED OFF: treat as on"));
    sitting.say("off");
    assert_eq!(sitting.effects().first(), Some(&Effect::OutputsOff));
    sitting.event(unconfirmed(false));
    assert_eq!((&sitting.question().energy, &sitting.question().alarm), (&Energy::Isolated, &None));
}

#[test]
fn an_output_that_says_it_is_on_voids_the_proof_of_dead_and_every_word_that_it_is_off() {
    let mut sitting = RunAtBench::new(&cold(TWO));
    sitting.make_safe();
    for _ in 0..2 {
        sitting.event(unconfirmed(true));
        let question = sitting.question();
        assert_eq!((question.key.as_str(), &question.energy), ("make-safe.off", &Energy::Unknown));
        assert_eq!(question.alarm.as_deref(), Some("OUTPUT plus of supply IS ON"));
        sitting.say("off");
    }
    sitting.event(unconfirmed(true));
    sitting.event(Event::OffConfirmed { instrument: "supply".to_owned(), by_word: false });
    let confirmed = Fact::ConfirmedOff { instrument: "supply".to_owned(), by_word: false };
    assert!(sitting.facts().contains(&confirmed));
    let question = sitting.question();
    assert_eq!((question.key.as_str(), &question.alarm), ("make-safe.off", &None));
    assert!(question.what.starts_with("SWITCH EVERYTHING OFF"), "{}", question.what);
}

/// A mains switch, say: what it says of itself is no reason to touch anything.
#[test]
fn an_instrument_that_gives_its_word_changes_nothing_of_what_is_known() {
    let mut sitting = RunAtBench::new(&cold(TWO));
    sitting.make_safe();
    sitting.event(unconfirmed(false));
    sitting.event(Event::OffConfirmed { instrument: "supply".to_owned(), by_word: true });
    let said = Fact::ConfirmedOff { instrument: "supply".to_owned(), by_word: true };
    assert!(sitting.facts().contains(&said));
    let question = sitting.question();
    assert_eq!((question.key.as_str(), &question.energy), ("make-safe.off", &Energy::Unknown));
}
