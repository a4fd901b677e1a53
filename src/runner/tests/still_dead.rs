//! A proof of dead that stands: where it does, and all that ends it.

use super::sitting::{RunAtBench, cold};
use crate::record::{Energy, Event, Fact, OutputOn, ProofRestedOn, Reason};

const STEPS: &str = "
- step: first
  prove_dead: Before hands go in
- step: tidy
  do: Tidy the wires
- step: next
  prove_dead: Before the other side
- step: tidy-more
  do: Tidy the other wires
";

/// What an insulation test adds between the work and the next proof.
const INSULATION: &str = "
- step: megohms
  read: {what: Both pins to earth, unit: Mohm, window: {at_least: 1 Mohm, open_ok: true}}
  proves: insulation
- step: resistor
  read: {what: The tester on its resistor, unit: Mohm, window: {near: 2 Mohm, within: 25 %}}
  proves: tester
- step: next
";

const MINUTE: u64 = 60 * 1000;

/// Proved dead, with the work behind it done.
fn worked(steps: &str) -> RunAtBench {
    let mut sitting = RunAtBench::new(&cold(steps));
    sitting.make_safe();
    assert_eq!(sitting.key(), "tidy");
    sitting.pass(6 * MINUTE).say("done");
    sitting
}

fn rests(sitting: &RunAtBench) -> bool {
    sitting.facts().iter().any(|fact| matches!(fact, Fact::ProofStands(_)))
}

#[test]
fn a_proof_that_stands_is_rested_on_with_one_word_on_the_plug() {
    let mut sitting = worked(STEPS);
    assert_eq!((sitting.key(), &sitting.question().energy), ("dead.stands", &Energy::ProvedDead));
    let what = &sitting.question().what;
    assert!(what.starts_with("Proved dead 6 min ago: plus. Where have the mains plug"), "{what}");
    sitting.say("yes");
    assert_eq!(sitting.key(), "dead.stands", "only a word on the plug is an answer");
    sitting.say("in sight");
    let is_told = |fact: &Fact| {
        matches!(fact, Fact::ProofStands(ProofRestedOn { points, age_ms })
            if points == &["plus"] && (6 * MINUTE..6 * MINUTE + 100).contains(age_ms))
    };
    assert!(sitting.facts().iter().any(is_told), "{:?}", sitting.facts());
    assert_eq!((sitting.key(), &sitting.question().energy), ("tidy-more", &Energy::ProvedDead));
}

#[test]
fn resting_on_a_proof_makes_it_no_younger() {
    let mut sitting = worked(STEPS);
    sitting.say("in sight").pass(25 * MINUTE).say("not yet");
    assert_eq!(sitting.key(), "dead.before", "31 minutes after it was made");
}

#[test]
fn a_plug_that_was_out_of_sight_begins_with_switching_off() {
    let mut sitting = worked(STEPS);
    sitting.say("not sure");
    assert_eq!((sitting.key(), &sitting.question().energy), ("make-safe.off", &Energy::Unknown));
    sitting.make_safe();
    assert_eq!(sitting.key(), "tidy-more", "the proof made now is the one that was wanted");
}

#[test]
fn a_test_that_charges_ends_it_before_its_button_is_pressed() {
    let steps = STEPS.replace("\n- step: next\n", INSULATION);
    let mut sitting = worked(&steps);
    assert_eq!((sitting.key(), &sitting.question().energy), ("megohms", &Energy::Isolated));
    sitting.say("120 Mohm");
    // The leads are still on: what belongs to the test needs no proof in between.
    assert_eq!((sitting.key(), &sitting.question().energy), ("resistor", &Energy::Isolated));
    sitting.say("2.02 Mohm");
    assert_eq!(sitting.key(), "dead.before");
    sitting.make_safe();
    assert!(!rests(&sitting));
    assert_eq!(sitting.key(), "tidy-more");
}

/// A procedure that forgets the proof after the test: the checks refuse it, and the run makes it all the same.
#[test]
fn hands_go_in_after_a_test_that_charges_only_behind_a_proof() {
    let steps = STEPS.replace("\n- step: next\n  prove_dead: Before the other side", INSULATION);
    let steps = steps.replace("\n- step: next\n", "\n");
    let mut sitting = worked(&steps);
    sitting.say_all(&["120 Mohm", "2.02 Mohm"]);
    assert_eq!(sitting.key(), "dead.before");
}

#[test]
fn it_ends_with_its_time_while_the_question_stands() {
    let mut sitting = worked(STEPS);
    sitting.pass(24 * MINUTE).say("in sight");
    assert!(!rests(&sitting));
    assert_eq!(sitting.key(), "dead.before");
}

#[test]
fn it_is_nobody_elses() {
    let mut sitting = worked(STEPS);
    let to = "Robin Relief-Test".to_owned();
    sitting.event(Event::HandedOver { to, remarks: String::new(), signatures: Vec::new() });
    assert_eq!(sitting.key(), "dead.before", "who has not seen the plug proves it");
}

#[test]
fn whatever_casts_doubt_on_what_is_known_ends_it() {
    let found_on = OutputOn {
        instrument: "supply".to_owned(),
        output: "plus".to_owned(),
        set_to: None,
        came_on: true,
    };
    for doubt in [
        Event::ClockUpset { slept_ms: 0, set_ms: -3_600_000 },
        Event::ClockUpset { slept_ms: 60_000, set_ms: 0 },
        Event::FoundOn(found_on),
        Event::Halted { reason: Reason::Words("the telephone".to_owned()) },
        Event::InstrumentLost { instrument: "supply".to_owned() },
    ] {
        let told = format!("{doubt:?}");
        let mut sitting = worked(STEPS);
        sitting.event(doubt);
        assert_ne!(sitting.key(), "dead.stands", "{told}");
        sitting.make_safe();
        assert!(!rests(&sitting), "{told}");
    }
}

#[test]
fn a_declined_word_is_no_word() {
    let mut sitting = worked(STEPS);
    sitting.decline("I was at lunch");
    assert_eq!(sitting.key(), "dead.stands");
    assert!(!rests(&sitting));
}

/// A record of a version before 0.4 plays again as it was.
#[test]
fn a_run_of_an_earlier_version_makes_every_proof() {
    let mut sitting = RunAtBench::of_version(&cold(STEPS), "0.3.0");
    sitting.make_safe().say("done");
    assert_eq!(sitting.key(), "dead.before");
}
