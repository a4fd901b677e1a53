//! What has to be signed, by whom and as what, and how a record is closed unsigned.

use super::sitting::{RunAtBench, cold};
use crate::record::{Energy, Event, Fact, Meaning, Outcome, Signature};

const KIM: &str = "Kim Bench-Test";
const SAM: &str = "Sam Second-Test";

const GATE: &str = "
- step: gate
  hold: {released_by: supervisor, ask: The readings so far}
";

const READ: &str = "
- step: short
  read: {what: Between the rails, unit: ohm, window: {at_least: 100 ohm}}
";

/// How the run closed, if it has.
fn closed(sitting: &RunAtBench) -> Option<(Outcome, bool, bool)> {
    sitting.facts().iter().find_map(|fact| match fact {
        Fact::Closed { outcome, safe, resumable, .. } => Some((*outcome, *safe, *resumable)),
        _ => None,
    })
}

/// A run whose one hold is released and whose record waits for the signature.
fn done() -> RunAtBench {
    let mut sitting = RunAtBench::signing(&cold(GATE));
    sitting.sign(SAM, SAM, Meaning::Released).make_safe();
    assert_eq!(sitting.key(), "sign-off");
    assert_eq!(sitting.question().sign, Some(Meaning::Performed));
    assert_eq!(sitting.question().signer.as_deref(), Some(KIM));
    sitting
}

#[test]
fn without_a_file_of_signers_nothing_is_signed() {
    let mut sitting = RunAtBench::new(&cold(GATE));
    assert_eq!(sitting.question().sign, None);
    sitting.say(SAM).make_safe();
    assert_eq!(closed(&sitting), Some((Outcome::Finished, true, false)));
}

#[test]
fn a_hold_wants_the_signature_of_the_person_who_releases_it() {
    let mut sitting = RunAtBench::signing(&cold(GATE));
    assert_eq!(sitting.question().sign, Some(Meaning::Released));
    assert_eq!(sitting.question().signer, None);
    sitting.say(SAM);
    assert!(sitting.refusal().unwrap().contains("signature of Sam Second-Test"));
    for (name, meaning) in [(KIM, Meaning::Released), (SAM, Meaning::Accepted)] {
        sitting.sign(SAM, name, meaning);
        assert!(sitting.refusal().unwrap().contains("signature"), "{name} {meaning:?}");
    }
    sitting.measure(SAM);
    assert_eq!(sitting.key(), "gate");
    sitting.sign(SAM, SAM, Meaning::Released);
    assert!(matches!(&sitting.facts()[0], Fact::Released { by, .. } if by == SAM));
}

#[test]
fn what_is_refused_for_itself_is_refused_for_that_signed_or_not() {
    let mut sitting = RunAtBench::signing(&cold(GATE));
    sitting.say(KIM);
    assert!(sitting.refusal().unwrap().contains("nobody who has worked at this bench"));
    sitting.sign(KIM, KIM, Meaning::Released);
    assert!(sitting.refusal().unwrap().contains("nobody who has worked at this bench"));
    assert_eq!(sitting.key(), "gate");
}

#[test]
fn both_sides_sign_a_hand_over() {
    let hand_over = |signatures: &[Signature]| Event::HandedOver {
        to: "Robin Relief-Test".to_owned(),
        remarks: String::new(),
        signatures: signatures.to_vec(),
    };
    let leaving = Signature::of_a_test(KIM, Meaning::HandedOver);
    let coming = Signature::of_a_test("Robin Relief-Test", Meaning::TookOver);
    let mut sitting = RunAtBench::signing(&cold(GATE));
    for signatures in [
        vec![],
        vec![leaving.clone()],
        vec![coming.clone(), leaving.clone()],
        vec![leaving.clone(), Signature::of_a_test(SAM, Meaning::TookOver)],
        vec![leaving.clone(), Signature::of_a_test("Robin Relief-Test", Meaning::HandedOver)],
    ] {
        sitting.event(hand_over(&signatures));
        assert!(sitting.refusal().unwrap().contains("signature"), "{signatures:?}");
        assert_eq!(sitting.question().person, KIM, "{signatures:?}");
    }
    sitting.event(hand_over(&[leaving, coming]));
    assert_eq!(sitting.question().person, "Robin Relief-Test");
}

#[test]
fn a_record_is_signed_by_the_person_at_the_bench_before_it_is_closed() {
    let mut sitting = done();
    let question = sitting.question();
    assert_eq!((question.sign, question.signer.as_deref()), (Some(Meaning::Performed), Some(KIM)));
    sitting.say("sign");
    assert!(sitting.refusal().unwrap().contains("signature of Kim Bench-Test"));
    sitting.sign("sign", SAM, Meaning::Performed);
    assert!(sitting.refusal().is_some());
    sitting.sign("yes", KIM, Meaning::Performed);
    assert!(sitting.refusal().unwrap().contains("type `sign`"));
    sitting.sign("sign", KIM, Meaning::Performed);
    assert_eq!(closed(&sitting), Some((Outcome::Finished, true, false)));
}

#[test]
fn what_is_ended_after_a_stop_is_signed_too() {
    for (word, resumable) in [("later", true), ("end", false)] {
        let mut sitting = RunAtBench::signing(&cold(READ));
        sitting.make_safe().say("5").make_safe();
        assert_eq!(sitting.key(), "what-next");
        sitting.say(word);
        assert_eq!(sitting.key(), "sign-off", "{word}");
        sitting.sign("sign", KIM, Meaning::Performed);
        let expected = Some((Outcome::StoppedOnReading, true, resumable));
        assert_eq!(closed(&sitting), expected, "{word}");
    }
    let mut sitting = RunAtBench::signing(&cold(GATE));
    sitting.halt().make_safe();
    assert_eq!(sitting.key(), "sign-off");
    sitting.sign("sign", KIM, Meaning::Performed);
    assert_eq!(closed(&sitting), Some((Outcome::LeftUnfinished, true, true)));
}

#[test]
fn a_step_that_is_called_like_the_signature_is_none() {
    let note = "- step: sign-off\n  note: What there is to see\n";
    let mut sitting = RunAtBench::signing(&cold(note));
    sitting.make_safe();
    assert_eq!(sitting.key(), "sign-off");
    sitting.halt().make_safe();
    assert_eq!(closed(&sitting), None, "it has to be signed for");
    sitting.sign("sign", KIM, Meaning::Performed);
    assert_eq!(closed(&sitting), Some((Outcome::LeftUnfinished, true, true)));
}

#[test]
fn a_signature_that_takes_longer_than_the_proof_lasts_is_asked_for_again_on_dead_equipment() {
    let mut stopped = RunAtBench::signing(&cold(READ));
    stopped.make_safe().say("5").make_safe().say("later");
    for mut sitting in [done(), stopped] {
        sitting.pass(24 * 3_600_000);
        assert_eq!(sitting.key(), "sign-off");
        sitting.sign("sign", KIM, Meaning::Performed);
        assert_eq!(closed(&sitting), None);
        assert!(sitting.question().energy != Energy::ProvedDead);
        sitting.make_safe();
        assert_eq!(sitting.key(), "sign-off");
        sitting.sign("sign", KIM, Meaning::Performed);
        let (_, safe, _) = closed(&sitting).unwrap();
        assert!(safe);
    }
}

#[test]
fn nothing_holds_a_person_who_cannot_sign_the_record() {
    let declined = Event::Declined {
        key: "sign-off".into(),
        reason: "the key is at home".into(),
        origin: crate::record::Origin::Typed,
    };
    let interrupted = Event::Interrupted { signal: "SIGTERM".to_owned() };
    let halted = Event::Halted { reason: "the key is at home".into() };
    for event in [declined, halted, Event::Abandoned { reason: "gone".into() }] {
        let mut sitting = done();
        sitting.event(event.clone());
        assert_eq!(closed(&sitting), Some((Outcome::LeftUnfinished, true, true)), "{event:?}");
    }
    let mut sitting = done();
    sitting.event(interrupted).make_safe();
    assert_eq!(closed(&sitting), Some((Outcome::LeftUnfinished, true, true)));
}

#[test]
fn making_safe_wants_no_signature() {
    let mut sitting = RunAtBench::signing(&cold(READ));
    sitting.halt();
    for _ in 0..10 {
        if sitting.key() == "sign-off" {
            return;
        }
        assert_eq!(sitting.question().sign, None, "{}", sitting.key());
        match sitting.key() {
            "make-safe.wait" => sitting.sit_out(),
            "make-safe.off" => sitting.say("off"),
            "dead.before" | "dead.after" => sitting.say("9 V"),
            _ => sitting.say("0 V"),
        };
    }
    panic!("making safe never ends");
}

const TWICE: &str = "
- step: gate
  read: {what: Gate resistor, unit: ohm, window: {at_most: 120 ohm}}
  verify: independent
  agree_within: 2 ohm
";

/// A run whose first reading is in and whose second person is named.
fn named() -> RunAtBench {
    let mut sitting = RunAtBench::signing(&cold(TWICE));
    sitting.make_safe().say("100 ohm");
    assert_eq!((sitting.key(), sitting.question().sign), ("gate.verifier", None));
    sitting.say(SAM);
    assert_eq!(sitting.key(), "gate.second");
    sitting
}

#[test]
fn who_verifies_signs_the_second_value_and_not_the_naming() {
    let mut sitting = named();
    let question = sitting.question();
    assert_eq!((question.sign, question.signer.as_deref()), (Some(Meaning::Verified), Some(SAM)));
    sitting.say("101 ohm");
    assert!(sitting.refusal().unwrap().contains("signature of Sam Second-Test"));
    sitting.sign("101 ohm", KIM, Meaning::Verified);
    assert!(sitting.refusal().unwrap().contains("signature of Sam Second-Test"));
    sitting.sign("101 ohm", SAM, Meaning::Verified);
    assert!(sitting.facts().iter().any(|fact| matches!(fact, Fact::Verified { .. })));
}

#[test]
fn a_second_value_that_stops_the_run_waits_for_no_signature() {
    for value in ["130 ohm", "110 ohm"] {
        let mut sitting = named();
        sitting.say(value);
        assert_eq!(sitting.refusal(), None, "{value}");
        assert!(sitting.facts().iter().any(|fact| matches!(fact, Fact::Stopped { .. })), "{value}");
    }
}
