//! People: who takes over, who releases a hold, who witnesses.

use super::sitting::{RunAtBench, cold, rails};
use crate::record::{Event, Fact, WitnessOutcome};
use crate::runner::{Advice, Effect};

const HOLD: &str = "
- step: gate
  hold: {released_by: supervisor, ask: The readings so far}
- step: seen
  witness: {by: owner, ask: The first sound}
- step: tidy
  do: Tidy the wires
";

#[test]
fn the_role_that_is_called_for_is_nobody_s_name() {
    let hold = HOLD.replace("supervisor", "quality lead").replace("owner", "line keeper");
    let mut sitting = RunAtBench::new(&cold(&hold));
    sitting.say("Quality-Lead");
    assert!(sitting.refusal().is_some());
    sitting.say("Sam Second-Test");
    sitting.say("attended Line Keeper");
    assert_eq!(sitting.key(), "seen");
    sitting.say("attended Lee Third-Test");
    assert!(sitting.refusal().is_none() && sitting.key() != "seen");
}

fn hand_over(sitting: &mut RunAtBench, to: &str, remarks: &str) {
    sitting.event(Event::HandedOver {
        to: to.to_owned(),
        remarks: remarks.to_owned(),
        signatures: Vec::new(),
    });
}

#[test]
fn nobody_who_worked_here_releases_a_hold() {
    let mut sitting = RunAtBench::new(&cold(HOLD));
    hand_over(&mut sitting, "Robin Relief-Test", "");
    for name in [
        "Kim Bench-Test",
        " kim  BENCH test.",
        "K\u{456}m Bench-Test",
        "\u{ff2b}im B\u{e9}nch-Test",
        "nobody",
        "Nobody There",
        "me",
        "Supervisor",
        "the supervisor",
        "A Colleague",
        "Unknown Person",
        "Technician 1",
        "N/A",
        "Witness",
        "super\u{200b}visor",
        "Sam\u{200b} Second-Test",
        "S\u{430}m Second-Test",
        "Robin Relief-Test",
        "kimbenchtest",
        "Kim\u{200b} Bench-Test",
        "ok",
        "yes",
        "",
        "--",
    ] {
        sitting.say(name);
        assert!(sitting.refusal().is_some(), "`{name}`");
        assert_eq!(sitting.key(), "gate", "`{name}`");
    }
    sitting.measure("Sam Second-Test");
    assert_eq!(sitting.key(), "gate", "an instrument is nobody");
    sitting.say(" Sam Second-Test ");
    let by = "Sam Second-Test".to_owned();
    let released = Fact::Released { key: "gate".into(), by, role: "supervisor".to_owned() };
    assert_eq!(sitting.facts()[0], released);
}

#[test]
fn a_witness_attends_or_waives_by_name() {
    for (text, outcome) in [
        ("attended Lee Third-Test", WitnessOutcome::Attended),
        ("WAIVED Lee Third-Test", WitnessOutcome::Waived),
    ] {
        let mut sitting = RunAtBench::new(&cold(HOLD));
        sitting.say("Sam Second-Test");
        let attended = "attended kim bench-test";
        let nobody =
            ["waived Nobody There", "attended Owner", "attended K\u{456}m Bench-Test", "alone"];
        for wrong in ["attended", "waived ok", "Lee Third-Test", "", "done", attended]
            .into_iter()
            .chain(nobody)
        {
            sitting.say(wrong);
            assert_eq!(sitting.key(), "seen", "`{wrong}`");
        }
        sitting.say(text);
        let by = "Lee Third-Test".to_owned();
        assert_eq!(sitting.facts()[0], Fact::Witnessed { key: "seen".into(), by, outcome });
    }
}

#[test]
fn handing_over_live_equipment_takes_a_word_on_its_state() {
    let look = "- step: idle\n  read: {what: Current, unit: mA, window: {at_most: 100 mA}}";
    let mut sitting = RunAtBench::new(&rails(look));
    hand_over(&mut sitting, "Robin Relief-Test", "");
    assert_eq!(sitting.question().person, "Robin Relief-Test", "on equipment that is off");
    sitting.live();
    hand_over(&mut sitting, "Kim Bench-Test", "  ");
    assert!(sitting.refusal().is_some());
    assert_eq!((sitting.key(), sitting.question().person.as_str()), ("idle", "Robin Relief-Test"));
    hand_over(&mut sitting, "Kim Bench-Test", "30 V on, drawing 60 mA");
    assert_eq!((sitting.key(), sitting.question().person.as_str()), ("idle", "Kim Bench-Test"));
}

const REACH: &str = "
- step: in-reach
  witness: {by: colleague, in_reach: true, ask: Stay in reach}
- step: tidy
  note: What was tidied
";

#[test]
fn being_in_reach_is_not_waived_and_working_alone_is_said_as_such() {
    let mut sitting = RunAtBench::new(&cold(REACH));
    for wrong in
        ["waived Lee Third-Test", "attended", "alone Lee Third-Test", "attended nobody", ""]
    {
        sitting.say(wrong);
        assert!(sitting.refusal().is_some(), "`{wrong}`");
        assert_eq!(sitting.key(), "in-reach", "`{wrong}`");
    }
    sitting.say("Alone");
    let by = "Kim Bench-Test".to_owned();
    assert_eq!(sitting.facts()[0], Fact::WorksAlone { key: "in-reach".into(), by });
    assert!(sitting.effects().contains(&Effect::Advise(Advice::Alone)));
    assert_eq!(sitting.key(), "tidy");
}
