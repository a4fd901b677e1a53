//! A second person: readings taken again without knowing the first, and acts that two agree on before they are done.

use super::sitting::{ONE_POINT, RunAtBench, at_60_v, cold, rails};
use super::undecided::BENCH;
use crate::record::{Event, Fact, Origin, StopReason};
use crate::runner::{Effect, Expects, Turn};
use crate::window::Verdict;

const TWICE: &str = "
- step: gate
  read: {what: Gate resistor, unit: ohm, window: {at_most: 120 ohm}}
  verify: independent
  agree_within: 2 ohm
- step: tidy
  do: Tidy the wires
";

const SAM: &str = "Sam Second-Test";

fn at_gate() -> RunAtBench {
    let mut sitting = RunAtBench::new(&cold(TWICE));
    sitting.make_safe();
    assert_eq!(sitting.key(), "gate");
    sitting
}

fn hand_over(sitting: &mut RunAtBench, to: &str) {
    let remarks = "nothing connected".to_owned();
    sitting.event(Event::HandedOver { to: to.to_owned(), remarks, signatures: Vec::new() });
}

fn verified(sitting: &RunAtBench) -> Option<&Fact> {
    sitting.facts().iter().find(|fact| matches!(fact, Fact::Verified { .. }))
}

#[test]
fn the_second_reading_is_asked_for_without_a_word_of_the_first() {
    let mut sitting = at_gate();
    assert_eq!(sitting.question().turn, Some(Turn::First));
    sitting.say("101.7 ohm");
    assert!(sitting.facts().contains(&Fact::VerificationDue { key: "gate".into() }));
    assert_eq!((sitting.key(), sitting.question().turn), ("gate.verifier", Some(Turn::Second)));
    assert_eq!(sitting.question().expects, Expects::SecondPerson);
    for text in [SAM, "rubbish", "102.9 ohm"] {
        let shown = sitting.effects().iter().filter(|effect| !matches!(effect, Effect::Record(_)));
        assert!(
            !shown
                .fold(String::new(), |all, effect| all + &format!("{effect:?}"))
                .contains("101.7")
        );
        sitting.say(text);
    }
    let Some(Fact::Verified { taken_by, by, agreed, difference, .. }) = verified(&sitting) else {
        panic!("{:?}", sitting.facts())
    };
    assert_eq!((taken_by.as_str(), by.as_str(), *agreed), ("Kim Bench-Test", SAM, true));
    assert_eq!(difference.unwrap().to_string(), "1.2 ohm");
    assert_eq!(sitting.key(), "tidy");
}

#[test]
fn readings_further_apart_than_they_may_be_stop_the_run_and_both_are_taken_again() {
    let mut sitting = at_gate();
    sitting.say_all(&["100 ohm", SAM, "103 ohm"]);
    let (key, reason) = (Some("gate".into()), StopReason::Disagreement);
    assert!(sitting.facts().contains(&Fact::Stopped { key, reason }));
    assert_eq!(sitting.effects()[0], Effect::OutputsOff);
    let stop = sitting.question().stop.clone().unwrap();
    assert!(stop.what.contains("Kim Bench-Test read 100 ohm"), "{stop:?}");
    assert!(stop.what.contains("Sam Second-Test read 103 ohm"), "{stop:?}");
    sitting.say_all(&["again", "the clip had slipped"]);
    assert_eq!((sitting.key(), sitting.question().turn), ("gate", Some(Turn::First)));
    sitting.say_all(&["103 ohm", SAM, "103 ohm"]);
    assert_eq!(sitting.key(), "tidy");
}

#[test]
fn the_first_reading_outside_stops_at_once_and_so_does_the_second() {
    let mut sitting = at_gate();
    sitting.say("130 ohm");
    let stopped = |key: &str| Fact::Stopped { key: Some(key.into()), reason: StopReason::Outside };
    assert!(sitting.facts().contains(&stopped("gate")) && verified(&sitting).is_none());
    let mut sitting = at_gate();
    sitting.say_all(&["119.5 ohm", SAM, "121 ohm"]);
    assert!(sitting.facts().contains(&stopped("gate.second")));
    assert!(matches!(verified(&sitting), Some(Fact::Verified { agreed: true, .. })));
}

#[test]
fn open_is_verified_by_open_and_not_by_a_number() {
    let open = TWICE.replace("at_most: 120 ohm", "at_least: 80 ohm, open_ok: true");
    for (second, key) in [("OL", "tidy"), ("119 ohm", "what-next")] {
        let mut sitting = RunAtBench::new(&cold(&open));
        sitting.make_safe();
        sitting.say_all(&["OL", SAM, second]);
        assert_eq!(sitting.key(), key, "{second}");
    }
}

#[test]
fn neither_the_one_at_the_bench_nor_the_first_reader_is_the_second_person() {
    let mut sitting = at_gate();
    sitting.say("100 ohm");
    hand_over(&mut sitting, "Robin Relief-Test");
    assert_eq!(sitting.key(), "gate.verifier", "nobody is named yet: the bench may change hands");
    for name in ["Robin Relief-Test", " robin relief test", "Kim Bench-Test", "ok", ""] {
        sitting.say(name);
        assert!(sitting.refusal().is_some(), "`{name}`");
    }
    sitting.say(SAM);
    for to in [SAM, "Lee Third-Test"] {
        hand_over(&mut sitting, to);
        assert!(sitting.refusal().unwrap().contains("finish it"), "{to}");
    }
    sitting.say("101 ohm");
    assert_eq!(sitting.key(), "tidy");
    hand_over(&mut sitting, SAM);
    assert_eq!(sitting.refusal(), None, "afterwards it may change hands again");
}

#[test]
fn a_stop_between_the_two_readings_begins_both_again() {
    let mut sitting = at_gate();
    sitting.say_all(&["100 ohm", SAM]).halt();
    sitting.resume().make_safe();
    assert_eq!((sitting.key(), sitting.question().turn), ("gate", Some(Turn::First)));
}

#[test]
fn what_is_too_close_to_call_is_asked_about_only_when_both_are_in() {
    let steps = "decision_rule: guarded
stages:
  - stage: cold
    title: Cold
    source: none
    steps:
      - step: output
        read: {what: Output, unit: V, function: dc-voltage, window: {at_most: 10 V}}
        verify: independent
        agree_within: 200 mV
      - step: tidy
        do: Tidy the wires
";
    let mut sitting = RunAtBench::at_bench(&at_60_v(&format!("{ONE_POINT}{steps}")), BENCH);
    sitting.make_safe().say("9.96 V");
    let is_undecided =
        |fact: &Fact| matches!(fact, Fact::Judged { verdict: Verdict::Undecided, .. });
    assert!(sitting.facts().iter().any(is_undecided));
    assert_eq!(sitting.key(), "output.verifier");
    sitting.say_all(&[SAM, "10.02 V"]);
    assert_eq!(sitting.key(), "output.undecided");
    sitting.say_all(&["accept", "Moss Other-Test", "compared"]);
    assert_eq!(sitting.key(), "output.second.undecided");
    sitting.say("again");
    assert_eq!(sitting.key(), "output", "taken again, it is taken by both again");
    sitting.say_all(&["9.7 V", SAM, "9.71 V"]);
    assert_eq!(sitting.key(), "tidy");
}

const LAMP: &str = "
- step: link
  do: Close the link
  verify: concurrent
";

#[test]
fn an_act_is_asked_for_once_two_people_have_agreed_on_it() {
    let mut sitting = RunAtBench::new(&cold(LAMP));
    sitting.make_safe();
    assert_eq!(sitting.key(), "link.verifier");
    sitting.say("Kim Bench-Test");
    assert!(sitting.refusal().is_some());
    sitting.say(SAM);
    assert_eq!(
        (sitting.key(), &sitting.question().expects),
        ("link.agree", &Expects::Word("agree"))
    );
    assert!(sitting.question().what.contains("Close the link"));
    for no in ["", "yes", "done"] {
        sitting.say(no);
        assert_eq!(sitting.key(), "link.agree", "`{no}`");
    }
    sitting.acknowledge();
    assert_eq!(sitting.key(), "link.agree", "Enter alone is no agreement");
    sitting.say("agree");
    let agreed = Fact::Agreed {
        key: "link".into(),
        what: "Close the link".to_owned(),
        person: "Kim Bench-Test".to_owned(),
        by: SAM.to_owned(),
    };
    assert!(sitting.facts().contains(&agreed));
    assert_eq!(sitting.key(), "link");
    hand_over(&mut sitting, "Lee Third-Test");
    assert!(sitting.refusal().is_some(), "two others have agreed");
}

#[test]
fn an_agreement_ends_with_the_stop_that_comes_between() {
    let mut sitting = RunAtBench::new(&cold(LAMP));
    sitting.make_safe();
    sitting.say_all(&[SAM, "agree"]);
    let (key, reason) = ("link".to_owned(), "the link is stuck".into());
    sitting.event(Event::Declined { key: key.into(), reason, origin: Origin::Typed });
    assert_eq!(sitting.key(), "what-next");
    hand_over(&mut sitting, "Robin Relief-Test");
    assert_eq!(sitting.refusal(), None, "nobody is agreed with any more");
    assert_eq!(sitting.question().person, "Robin Relief-Test");
}

#[test]
fn a_stage_asks_for_agreement_before_its_source_comes_on() {
    let text = rails("")
        .replace("    source: bench-supply", "    source: bench-supply\n    verify: concurrent");
    let mut sitting = RunAtBench::new(&text);
    assert_eq!(sitting.key(), "on.verifier");
    sitting.say_all(&[SAM, "agree"]);
    assert_eq!(sitting.key(), "rails.clear");
    sitting.say("clear").make_safe();
    assert_eq!(sitting.key(), "rails.clear");
    sitting.say("clear");
    assert!(sitting.effects().iter().any(|effect| matches!(effect, Effect::Energise(_))));
    assert_eq!(sitting.key(), "on");
    // After a stop the two agree again.
    sitting.halt().make_safe();
    sitting.resume().make_safe();
    assert_eq!(sitting.key(), "on.verifier");
}
