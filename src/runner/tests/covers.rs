//! Charge points behind a cover: asked for where they can be reached, and never taken for measured where they can't.

use super::sitting::Sitting;
use crate::record::{Energy, Fact};

const COVERED: &str = r#"
charge_points:
  plus: {at: "reservoir plus", below: 2 V, behind: top cover}
  plug: {at: "line pin to neutral pin of the plug", below: 2 V}
stages:
  - stage: open
    title: Open
    source: none
    steps:
      - {step: cover-off, do: Take the top cover off, opens: top cover}
      - {step: tidy, do: Tidy the wires}
      - {step: cover-on, do: Put the top cover on, closes: top cover}
  - stage: shut
    title: Shut
    source: none
    steps:
      - {step: proof, prove_dead: With the cover on}
      - {step: knobs, do: Push the knobs on}
      - {step: lifted, do: Lift the top cover, opens: top cover}
      - {step: inside, do: Count the screws}
"#;

/// Answers a proof of dead, which has to ask for these points and no others.
fn proves(sitting: &mut Sitting, points: &[&str]) {
    let asked = [&["before"], points, &["after"]].concat();
    for point in asked {
        assert_eq!(sitting.key(), format!("dead.{point}"));
        sitting.say(if matches!(point, "before" | "after") { "9.1 V" } else { "0 V" });
    }
    let is_told =
        |fact: &Fact| matches!(fact, Fact::ProvedDead { points: told, .. } if told == points);
    assert!(sitting.facts().iter().any(is_told), "{:?}", sitting.facts());
}

/// At the first step, with the plug proved dead and the cover on.
fn begun() -> Sitting {
    let mut sitting = Sitting::new(COVERED);
    sitting.say("off").sit_out();
    proves(&mut sitting, &["plug"]);
    assert_eq!((sitting.key(), &sitting.question().energy), ("cover-off", &Energy::ProvedDead));
    assert_eq!(sitting.question().unmeasured, ["plus"]);
    sitting
}

/// At the step behind the proof with the cover on again.
fn closed_again() -> Sitting {
    let mut sitting = begun();
    sitting.say("done");
    proves(&mut sitting, &["plus", "plug"]);
    sitting.say_all(&["done", "done"]);
    proves(&mut sitting, &["plug"]);
    sitting
}

#[test]
fn nobody_is_asked_to_reach_behind_a_closed_cover_and_the_screen_names_what_is_there() {
    let sitting = closed_again();
    assert_eq!((sitting.key(), &sitting.question().energy), ("knobs", &Energy::ProvedDead));
    assert_eq!(sitting.question().unmeasured, ["plus"]);
}

#[test]
fn an_opened_cover_ends_a_proof_that_left_out_what_is_behind_it() {
    let mut sitting = begun();
    sitting.say("done");
    assert_eq!(sitting.question().energy, Energy::Isolated);
    proves(&mut sitting, &["plus", "plug"]);
    assert_eq!((sitting.key(), sitting.question().unmeasured.len()), ("tidy", 0));

    let mut sitting = closed_again();
    sitting.say_all(&["done", "done"]);
    assert_eq!(sitting.question().energy, Energy::Isolated);
    proves(&mut sitting, &["plus", "plug"]);
    assert_eq!(sitting.key(), "inside");
}

#[test]
fn a_proof_of_everything_outlasts_the_closing_and_opening_of_a_cover() {
    let without = COVERED.replace("      - {step: proof, prove_dead: With the cover on}\n", "");
    let mut sitting = Sitting::new(&without);
    sitting.say("off").sit_out();
    proves(&mut sitting, &["plug"]);
    sitting.say("done");
    proves(&mut sitting, &["plus", "plug"]);
    for key in ["tidy", "cover-on", "knobs", "lifted", "inside"] {
        assert_eq!((sitting.key(), &sitting.question().energy), (key, &Energy::ProvedDead));
        assert_eq!(sitting.question().unmeasured.len(), 0, "at {key}");
        sitting.say("done");
    }
}

#[test]
fn a_proof_measures_something_where_every_point_is_covered() {
    let all = COVERED
        .replace("of the plug\", below: 2 V}", "of the plug\", below: 2 V, behind: top cover}");
    let mut sitting = Sitting::new(&all);
    sitting.say("off").sit_out();
    proves(&mut sitting, &["plus", "plug"]);
}

#[test]
fn what_comes_next_after_a_stop_names_what_was_not_measured() {
    let mut sitting = closed_again();
    sitting.decline("a knob is missing").make_safe();
    assert_eq!((sitting.key(), &sitting.question().energy), ("what-next", &Energy::ProvedDead));
    assert_eq!(sitting.question().unmeasured, ["plus"]);
}
