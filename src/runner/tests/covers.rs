//! Charge points behind a cover: asked for where they can be reached, and never taken for measured where they can't.

use proptest::prelude::*;

use super::sitting::RunAtBench;
use crate::record::{Energy, Fact, ProofMade};
use crate::runner::Expects;

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
fn proves(sitting: &mut RunAtBench, points: &[&str]) {
    let asked = [&["before"], points, &["after"]].concat();
    for point in asked {
        assert_eq!(sitting.key(), format!("dead.{point}"));
        sitting.say(if matches!(point, "before" | "after") { "9.1 V" } else { "0 V" });
    }
    let is_told = |fact: &Fact| matches!(fact, Fact::ProvedDead(ProofMade { points: told, .. }) if told == points);
    assert!(sitting.facts().iter().any(is_told), "{:?}", sitting.facts());
}

/// At the first step, with the plug proved dead and the cover on.
fn begun() -> RunAtBench {
    let mut sitting = RunAtBench::new(COVERED);
    sitting.say("off").sit_out();
    proves(&mut sitting, &["plug"]);
    assert_eq!((sitting.key(), &sitting.question().energy), ("cover-off", &Energy::ProvedDead));
    assert_eq!(sitting.question().unmeasured, ["plus"]);
    sitting
}

/// At the step behind the proof with the cover on again.
fn closed_again() -> RunAtBench {
    let mut sitting = begun();
    sitting.say("done");
    proves(&mut sitting, &["plus", "plug"]);
    sitting.say_all(&["done", "done", "not sure", "off"]).sit_out();
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
    let mut sitting = RunAtBench::new(&without);
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
    let mut sitting = RunAtBench::new(&all);
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

/// What an onlooker knows of the last proof of dead.
#[derive(Default)]
struct Onlooker {
    proved: Vec<String>,
}

impl Onlooker {
    fn see(&mut self, sitting: &RunAtBench) {
        for fact in sitting.facts() {
            match fact {
                Fact::ProvedDead(ProofMade { points, .. }) => self.proved.clone_from(points),
                Fact::Energy { state } if *state != Energy::ProvedDead => self.proved.clear(),
                _ => {}
            }
        }
    }

    /// Hands go in only where the reservoir was measured, and nobody is asked to measure it behind the cover.
    fn judge(&self, sitting: &RunAtBench) {
        let (key, question) = (sitting.key(), sitting.question());
        let (stage, step) = (question.place.stage_number, question.place.step_number);
        let is_open = matches!((stage, step), (1, 2 | 3) | (2, 4));
        let is_measured = self.proved.iter().any(|point| point == "plus");
        if matches!(key, "tidy" | "cover-on" | "inside") {
            assert!(is_measured, "hands in at `{key}`, proved dead: {:?}", self.proved);
        }
        if key == "dead.plus" {
            assert!(is_open, "asked behind the cover at stage {stage}, step {step}");
        }
        if question.energy == Energy::ProvedDead {
            assert_eq!(question.unmeasured.is_empty(), is_measured, "at `{key}`");
        }
    }
}

/// Goes on with the question at hand, or does what a person may do in its place.
fn go_on(sitting: &mut RunAtBench, turn: u8) {
    let choices = match &sitting.question().expects {
        Expects::Choice(choices) => choices.iter().map(|choice| choice.say.clone()).collect(),
        _ => Vec::new(),
    };
    let chosen = choices.get(usize::from(turn) % choices.len().max(1)).cloned();
    match (sitting.key().to_owned().as_str(), turn) {
        ("make-safe.wait", _) => drop(sitting.sit_out()),
        ("make-safe.off", _) => drop(sitting.say("off")),
        ("dead.before" | "dead.after", _) => drop(sitting.say("9 V")),
        ("dead.plus" | "dead.plug", 0) => drop(sitting.say("35 V")),
        (key, _) if key.starts_with("dead.") => drop(sitting.say("0 V")),
        ("what-next", _) => drop(sitting.say(&chosen.unwrap())),
        (_, 1) => drop(sitting.decline("it does not go")),
        (_, 2) => drop(sitting.halt().resume()),
        (_, 3) => drop(sitting.pass(31 * 60 * 1000)),
        _ if chosen.is_some() => drop(sitting.say(&chosen.unwrap())),
        _ => drop(sitting.say("done")),
    }
}

proptest! {
    #[test]
    fn whatever_comes_hands_go_in_only_where_the_reservoir_was_measured(turns in prop::collection::vec(0_u8..12, 1..120)) {
        let (mut sitting, mut onlooker) = (RunAtBench::new(COVERED), Onlooker::default());
        onlooker.see(&sitting);
        for turn in turns {
            if !sitting.is_asked() {
                break;
            }
            onlooker.judge(&sitting);
            go_on(&mut sitting, turn);
            onlooker.see(&sitting);
        }
    }
}
