//! Who may do what at the bench, with a people file. Sittings begin on 1970-01-01.

use super::sitting::{RunAtBench, cold, rails};
use crate::record::{Duty, Event, Fact};

const DAY_MS: u64 = 24 * 60 * 60 * 1000;

const LOOK: &str = "
- step: idle
  read: {what: Current, unit: mA, window: {at_most: 100 mA}}
- step: gate
  hold: {released_by: supervisor, ask: The readings so far}
- step: heard
  hold: {released_by: owner, ask: The first sound}
";

/// Kim in these roles, with others around.
fn staff(roles: &str, until: &str) -> String {
    format!(
        "format: 1
people: A shop for a test (invented)
roles: {{helper: {{prove_dead: supervised}}, listener: {{}}}}
staff:
  kim@shop.example: {{name: Kim Bench-Test, roles: [{roles}], competent: {{sitting: {until}}}}}
  robin@shop.example: {{name: Robin Relief-Test, roles: [technician], competent: {{sitting: 2099-12-31}}}}
  sam@shop.example: {{name: Sam Second-Test, roles: [supervisor], competent: {{sitting: 2099-12-31}}}}
  lee@shop.example: {{name: Lee Learner-Test, roles: [apprentice], competent: {{sitting: 2099-12-31}}}}
  old@shop.example: {{name: Moss Other-Test, roles: [supervisor], competent: {{sitting: 1969-12-31}}}}
"
    )
}

fn live(roles: &str) -> RunAtBench {
    RunAtBench::staffed(&rails(LOOK), &staff(roles, "2099-12-31"))
}

fn hand_over(sitting: &mut RunAtBench, to: &str) {
    let remarks = "all as on the screen".to_owned();
    sitting.event(Event::HandedOver { to: to.to_owned(), remarks, signatures: Vec::new() });
}

fn supervised(key: &str, duty: Duty) -> Fact {
    Fact::Supervised { key: key.into(), by: "Sam Second-Test".to_owned(), duty }
}

#[test]
fn without_the_right_alone_somebody_who_has_it_is_named_once_a_stage() {
    let mut sitting = live("apprentice");
    assert_eq!(sitting.key(), "rails.supervisor");
    assert!(
        sitting.question().what.contains("Kim Bench-Test may energise under direct supervision")
    );
    for name in ["Kim Bench-Test", "Lee Learner-Test", "Moss Other-Test", "Eve Stranger-Test", "ok"]
    {
        sitting.say(name);
        assert!(sitting.refusal().is_some(), "`{name}`");
        assert_eq!(sitting.key(), "rails.supervisor", "`{name}`");
    }
    sitting.say("SAM second-test");
    assert_eq!(sitting.facts(), [supervised("rails.supervisor", Duty::Energise)]);
    // Who may watch over the source watches over the proof as well.
    sitting.live();
    assert_eq!(sitting.key(), "idle");
}

#[test]
fn who_may_do_it_alone_is_asked_nothing() {
    for roles in ["technician", "supervisor", "apprentice, technician"] {
        let mut sitting = live(roles);
        sitting.live();
        assert_eq!(sitting.key(), "idle", "{roles}");
    }
}

#[test]
fn a_hand_over_asks_again_and_only_somebody_admitted_takes_over() {
    let mut sitting = live("technician");
    sitting.live();
    for (name, said) in
        [("Eve Stranger-Test", "not on the staff"), ("Moss Other-Test", "ran out after 1969-12-31")]
    {
        hand_over(&mut sitting, name);
        assert!(sitting.refusal().unwrap().contains(said), "{name}");
        assert_eq!(sitting.question().person, "Kim Bench-Test");
    }
    hand_over(&mut sitting, "lee@shop.example");
    assert_eq!(
        (sitting.key(), sitting.question().person.as_str()),
        ("rails.supervisor", "Lee Learner-Test")
    );
    sitting.say("Kim Bench-Test");
    assert_eq!(sitting.key(), "idle", "somebody who worked here may stay and watch");
    hand_over(&mut sitting, "Robin Relief-Test");
    assert_eq!(sitting.key(), "idle");
}

#[test]
fn who_may_not_do_it_at_all_hands_over_or_stops() {
    let mut sitting = live("helper");
    assert_eq!(sitting.key(), "rails.takes-over");
    sitting.say("Robin Relief-Test");
    assert!(sitting.refusal().is_some(), "a name alone is no hand-over");
    hand_over(&mut sitting, "Lee Learner-Test");
    assert_eq!(sitting.key(), "rails.supervisor");
    hand_over(&mut sitting, "Robin Relief-Test");
    assert_eq!(sitting.key(), "rails.clear");
    let mut sitting = live("listener");
    sitting.halt();
    assert!(sitting.key().starts_with("make-safe."), "{}", sitting.key());
}

#[test]
fn making_safe_after_a_stop_takes_nobody_and_going_on_takes_a_proof_again() {
    let steps = "
- step: first
  do: Tidy the wires
- step: second
  do: Tidy them again
";
    let mut sitting = RunAtBench::staffed(&cold(steps), &staff("apprentice", "2099-12-31"));
    // The points are isolated, and the proof is what takes somebody.
    sitting.say("off").sit_out();
    assert_eq!(sitting.key(), "cold.supervisor");
    sitting.say("Sam Second-Test");
    assert_eq!(sitting.facts(), [supervised("cold.supervisor", Duty::ProveDead)]);
    sitting.make_safe();
    assert_eq!(sitting.key(), "first");
    let (key, reason) = ("first".to_owned(), "it does not fit".into());
    let origin = crate::record::Origin::Typed;
    sitting.event(Event::Declined { key: key.into(), reason, origin });
    sitting.make_safe();
    assert_eq!(sitting.key(), "what-next", "nobody is asked for while it is made safe");
    sitting.event(Event::Interrupted { signal: "SIGINT".to_owned() });
    sitting.make_safe();
    assert_eq!(sitting.key(), "", "the run ends where it was interrupted");
    sitting.resume().make_safe();
    assert_eq!(sitting.key(), "what-next");
    sitting.say("again").say("the bracket was upside down");
    // The proof after the stop was Kim's alone.
    assert_eq!(sitting.key(), "cold.supervisor");
    sitting.say("Sam Second-Test").make_safe();
    assert_eq!(sitting.key(), "first");
}

#[test]
fn a_safety_test_is_a_duty_of_its_own() {
    let tests = "    safety_test: true\n    steps:\n      - step: earth
        read: {what: Earth, unit: ohm, window: {at_most: 0.2 ohm}}\n      - step: seen
        look: {at: The lead, good: [sound], bad: [{say: worn, likely: wear, next: a new lead}]}\n";
    let text = cold("").replace("    steps:\n", tests);
    let mut sitting = RunAtBench::staffed(&text, &staff("helper", "2099-12-31"));
    sitting.say("off").sit_out().say("Sam Second-Test").make_safe();
    assert_eq!(sitting.key(), "cold.takes-over", "to help to prove dead is not to test");
    hand_over(&mut sitting, "Lee Learner-Test");
    assert_eq!(sitting.key(), "cold.supervisor");
    sitting.say("Sam Second-Test");
    assert_eq!(sitting.facts(), [supervised("cold.supervisor", Duty::SafetyTest)]);
    assert_eq!(sitting.key(), "earth");
    sitting.say("0.1 ohm");
    assert_eq!(sitting.key(), "seen");
}

#[test]
fn a_hold_takes_the_role_it_names_or_the_right_to_release() {
    let mut sitting = live("technician");
    sitting.live().say("60 mA");
    for (key, role) in [("gate", "supervisor"), ("heard", "owner")] {
        assert_eq!(sitting.key(), key);
        for name in
            ["Robin Relief-Test", "Moss Other-Test", "Eve Stranger-Test", "kim@shop.example"]
        {
            sitting.say(name);
            assert!(sitting.refusal().is_some(), "{key}: `{name}`");
        }
        sitting.say("sam@shop.example");
        let (key, by, role) = (key.to_owned(), "Sam Second-Test".to_owned(), role.to_owned());
        assert_eq!(
            sitting.facts()[0],
            Fact::Released { key: key.into(), by, role },
            "by the name of the file"
        );
    }
}

#[test]
fn a_concession_takes_the_right_to_accept() {
    let bench = "format: 1\nbench: A bench for tests (invented)\ninstruments:
  old: {what: a meter (invented), serial: T-1, calibration_due: 1969-12-31}\n";
    let staff = staff("technician", "2099-12-31");
    let mut sitting = RunAtBench::staffed_at(&cold("- step: tidy\n  do: Tidy up"), &staff, bench);
    assert_eq!(sitting.key(), "calibration.old.accepted-by");
    for name in ["Robin Relief-Test", "Moss Other-Test", "Eve Stranger-Test"] {
        sitting.say(name);
        assert!(sitting.refusal().is_some(), "`{name}`");
    }
    sitting.say("Sam Second-Test").say("compared this morning");
    let (key, by) = ("calibration.old".to_owned(), "Sam Second-Test".to_owned());
    let why = "compared this morning".to_owned();
    assert_eq!(sitting.facts()[0], Fact::Conceded { key: key.into(), by, why });
}

#[test]
fn a_competence_that_runs_out_in_a_run_sends_away_from_the_bench() {
    let mut sitting = RunAtBench::staffed(&rails(LOOK), &staff("technician", "1970-01-01"));
    assert_eq!(sitting.key(), "rails.clear");
    sitting.pass(DAY_MS).event(Event::Noted { text: "a long night".to_owned() });
    assert_eq!(sitting.key(), "rails.takes-over");
}

#[test]
fn nobody_starts_or_resumes_who_is_not_admitted() {
    let text = cold("- step: tidy\n  do: Tidy up");
    for (roles, until, is_admitted) in
        [("technician", "1970-01-01", true), ("technician", "1969-12-31", false)]
    {
        let sitting = RunAtBench::staffed(&text, &staff(roles, until));
        assert_eq!(!sitting.effects().is_empty(), is_admitted, "{until}");
    }
    let mut sitting = RunAtBench::staffed(&text, &staff("technician", "1970-01-01"));
    sitting.halt().make_safe();
    sitting.pass(DAY_MS).resume();
    assert!(sitting.effects().is_empty(), "the competence ran out over night");
}

const POINTS: &str = "
- step: reach
  witness: {by: colleague, in_reach: true, ask: Stay in reach}
- step: seen
  witness: {by: owner, ask: The first sound}
- step: gate
  hold: {released_by: supervisor, ask: The readings so far}
- step: tidy
  note: What was tidied
";

#[test]
fn a_witness_and_a_waiver_are_the_word_of_somebody_on_the_staff() {
    let mut sitting = RunAtBench::staffed(&cold(POINTS), &staff("technician", "2099-12-31"));
    sitting.say("attended Eve Stranger-Test");
    assert!(sitting.refusal().unwrap().contains("Eve Stranger-Test is not on the staff"));
    // A person who only watches needs no competence.
    sitting.say("attended Moss Other-Test");
    assert_eq!(sitting.key(), "seen");
    sitting.say("waived Eve Stranger-Test");
    assert!(sitting.refusal().is_some());
    sitting.say("waived lee@shop.example");
    assert_eq!(sitting.key(), "gate");
}

#[test]
fn who_had_one_part_takes_no_other_that_the_shop_keeps_apart() {
    let shop = staff("technician", "2099-12-31");
    let apart = shop.replace("roles: {helper", "separate: [witness, release]\nroles: {helper");
    for (people, is_released) in [(&shop, true), (&apart, false)] {
        let mut sitting = RunAtBench::staffed(&cold(POINTS), people);
        sitting.say("attended Sam Second-Test");
        sitting.say("waived Lee Learner-Test");
        sitting.say("S\u{e1}m Second-Test");
        assert_eq!(sitting.key() == "tidy", is_released, "{people}");
        if !is_released {
            let said = "Sam Second-Test witnessed in this run, and this shop keeps that apart";
            assert!(sitting.refusal().unwrap().contains(said));
        }
    }
    // A waiver is nothing that anybody did, and the same job again is not another one.
    let mut sitting = RunAtBench::staffed(&cold(POINTS), &apart);
    sitting.say("attended Lee Learner-Test");
    sitting.say("waived Sam Second-Test");
    sitting.say("Sam Second-Test");
    assert_eq!(sitting.key(), "tidy");
}

#[test]
fn who_had_a_part_comes_to_the_bench_only_where_the_shop_does_not_keep_it_apart() {
    let shop = staff("technician", "2099-12-31");
    let apart = shop.replace("roles: {helper", "separate: [witness]\nroles: {helper");
    for (people, comes) in [(&shop, true), (&apart, false)] {
        let mut sitting = RunAtBench::staffed(&cold(POINTS), people);
        sitting.say("attended Robin Relief-Test");
        hand_over(&mut sitting, "Robin Relief-Test");
        assert_eq!(sitting.question().person == "Robin Relief-Test", comes, "{people}");
        if !comes {
            let said = "Robin Relief-Test witnessed in this run, and this shop keeps that apart";
            assert!(sitting.refusal().unwrap().contains(said));
        }
        sitting.halt().make_safe();
        sitting.resume_later("robin@shop.example", 0, 0);
        assert_eq!(!sitting.effects().is_empty(), comes, "{people}");
    }
    // The other way round: who was at the bench takes no part that is kept apart from it.
    for (people, is_taken) in [(&shop, true), (&apart, false)] {
        let mut sitting = RunAtBench::staffed(&cold(POINTS), people);
        hand_over(&mut sitting, "Robin Relief-Test");
        sitting.say("attended Kim Bench-Test");
        assert_eq!(sitting.key() == "seen", is_taken, "{people}");
        if !is_taken {
            let said = "Kim Bench-Test worked at the bench in this run, and this shop keeps that";
            assert!(sitting.refusal().unwrap().contains(said));
        }
    }
}

#[test]
fn the_shop_says_whether_somebody_may_work_alone() {
    let shop = staff("technician", "2099-12-31");
    let never = shop.replace("roles: {helper", "may_work_alone: false\nroles: {helper");
    for (people, key) in [(&shop, "seen"), (&never, "reach")] {
        let mut sitting = RunAtBench::staffed(&cold(POINTS), people);
        sitting.say("alone");
        assert_eq!(sitting.key(), key);
    }
}
