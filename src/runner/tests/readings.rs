//! Readings: taken, asked for again, judged, and what is said of a bad one.

use super::sitting::{RunAtBench, at_60_v, cold};
use crate::record::{Fact, StopReason};
use crate::window::Verdict;

/// A current of 120 mA in a step whose unit is uA.
const LEAK: &str = "
- step: leak
  read: {what: Idle current, unit: uA, window: {between: [100 mA, 150 mA]}}
  outside:
    - {below: 100 mA, likely: no bias, next: look for an open joint}
    - {above: 150 mA, likely: too much bias, next: look at the bias transistor}
    - {likely: a bad contact, next: clean the clip}
- step: tidy
  do: Tidy the wires
";

fn at(steps: &str) -> RunAtBench {
    let mut sitting = RunAtBench::new(&at_60_v(&cold(steps)));
    sitting.make_safe();
    sitting
}

fn verdicts(sitting: &RunAtBench) -> Vec<Verdict> {
    let judged = sitting.facts().iter().filter_map(|fact| match fact {
        Fact::Judged { verdict, .. } => Some(*verdict),
        _ => None,
    });
    judged.collect()
}

fn is_stopped(sitting: &RunAtBench) -> bool {
    sitting
        .facts()
        .iter()
        .any(|fact| matches!(fact, Fact::Stopped { reason: StopReason::Outside, .. }))
}

#[test]
fn a_slipped_prefix_is_asked_for_once_more_with_its_unit() {
    let mut sitting = at(LEAK);
    for _ in 0..2 {
        sitting.say("120");
        assert!(sitting.refusal().unwrap().contains("such as `120 uA`"), "{:?}", sitting.refusal());
        assert_eq!((sitting.key(), verdicts(&sitting)), ("leak", vec![]));
    }
    sitting.say("120 mA");
    assert_eq!((sitting.key(), verdicts(&sitting)), ("tidy", vec![Verdict::Inside]));
}

#[test]
fn an_outside_value_with_its_unit_stands() {
    let mut sitting = at(LEAK);
    sitting.say_all(&["120", "120 uA"]);
    assert!(is_stopped(&sitting));
    let mut sitting = at(LEAK);
    sitting.say("120 uA");
    assert!(is_stopped(&sitting), "the unit was spelled out at once");
}

#[test]
fn a_marking_in_letters_can_be_confirmed_too() {
    let steps =
        "- step: bleeder\n  read: {what: Bleeder, unit: ohm, window: {between: [4 Mohm, 5 Mohm]}}";
    let mut sitting = at(steps);
    sitting.say("4k7");
    assert!(sitting.refusal().is_some());
    sitting.say("4k7 ohm");
    assert!(is_stopped(&sitting), "{:?}", sitting.refusal());
}

#[test]
fn what_is_no_value_is_refused_and_the_question_stands() {
    let mut sitting = at(LEAK);
    for text in ["ok", "y", "", "1,5", "done", "120 V"] {
        sitting.say(text);
        assert!(sitting.refusal().is_some(), "{text}");
        assert_eq!((sitting.key(), verdicts(&sitting)), ("leak", vec![]), "{text}");
    }
}

#[test]
fn a_reading_without_a_number_stops_the_run() {
    for text in ["OL", "NaN", "9.91E37"] {
        let mut sitting = at(LEAK);
        sitting.say(text);
        assert!(is_stopped(&sitting), "{text}");
    }
}

#[test]
fn hints_fit_the_side_on_which_the_reading_is_out() {
    let likely = |text: &str| {
        let mut sitting = at(LEAK);
        sitting.say(text);
        let causes = sitting.question().stop.clone().unwrap().causes;
        causes.into_iter().map(|cause| cause.likely).collect::<Vec<_>>()
    };
    assert_eq!(likely("20 mA"), ["no bias", "a bad contact"]);
    assert_eq!(likely("200 mA"), ["too much bias", "a bad contact"]);
    assert_eq!(likely("OL"), ["too much bias", "a bad contact"]);
    assert_eq!(likely("NaN"), ["a bad contact"]);
}

#[test]
fn each_part_has_its_own_key_and_words() {
    let steps = "
- step: gate
  read: {what: Gate to source, unit: ohm, window: {at_least: 1 kohm, open_ok: true}}
  for_each: [q1, q2]
- step: highest
  work_out: {what: Gate of q1, value: gate.q1, unit: ohm, window: {at_least: 1 kohm}}
- step: tidy
  do: Tidy the wires
";
    let mut sitting = at(steps);
    assert_eq!(
        (sitting.key(), sitting.question().what.as_str()),
        ("gate.q1", "q1: Gate to source")
    );
    sitting.say("2 kohm");
    assert_eq!(sitting.key(), "gate.q2");
    sitting.say("OL");
    assert_eq!(verdicts(&sitting), [Verdict::Inside, Verdict::Inside], "and the value worked out");
    assert_eq!(sitting.key(), "tidy");
}

const RATIO: &str = "
- step: plus
  read: {what: Plus, unit: V, window: {record_only: true}}
- step: minus
  read: {what: Minus, unit: V, window: {record_only: true}}
- step: ratio
  work_out: {what: Plus to minus, value: plus / minus, unit: '%', window: {between: [95 %, 105 %]}}
- step: tidy
  do: Tidy the wires
";

#[test]
fn a_worked_out_value_is_judged_like_a_reading() {
    let mut sitting = at(RATIO);
    sitting.say_all(&["50 V", "49 V"]);
    assert_eq!(verdicts(&sitting), [Verdict::NotJudged, Verdict::Inside]);
    let mut sitting = at(RATIO);
    sitting.say_all(&["50 V", "30 V"]);
    assert!(is_stopped(&sitting));
    assert_eq!(sitting.key(), "what-next");
}

#[test]
fn a_value_that_cannot_be_worked_out_ends_the_run() {
    let mut sitting = at(RATIO);
    sitting.say_all(&["50 V", "0 V"]);
    let why = sitting.facts().iter().find_map(|fact| match fact {
        Fact::Stopped { reason: reason @ StopReason::CouldNotWorkOut { .. }, .. } => {
            Some(reason.words())
        }
        _ => None,
    });
    assert!(why.as_ref().unwrap().contains(": `ratio`: this is zero"), "{why:?}");
    assert_eq!(sitting.key(), "", "it was safe already");
}

#[test]
fn a_value_only_recorded_is_still_no_number_when_it_is_none() {
    let mut sitting = at(RATIO);
    sitting.say("NaN");
    assert!(is_stopped(&sitting));
}

#[test]
fn a_record_says_what_was_asked_with_its_part_and_values() {
    let mut sitting = at("
- step: resistor
  read: {what: Resistor, unit: ohm, window: {record_only: true}}
- step: trim
  do: Trim it to {resistor}
  for_each: [left, right]
- step: seen
  look: {at: The trimmer, good: [sound], bad: [{say: loose, likely: solder, next: solder it}]}
  for_each: [left, right]
- step: words
  note: What was found
  for_each: [left, right]
");
    sitting.say("47 ohm");
    for (answer, asked) in [
        ("done", "left: Trim it to 47.0 ohm"),
        ("done", "right: Trim it to 47.0 ohm"),
        ("sound", "left: The trimmer"),
        ("sound", "right: The trimmer"),
        ("nothing", "left: What was found"),
        ("nothing", "right: What was found"),
    ] {
        assert_eq!(sitting.question().what, asked);
        sitting.say(answer);
        let kept = match &sitting.facts()[0] {
            Fact::Done { what, .. } | Fact::Seen { what, .. } | Fact::Written { what, .. } => what,
            other => panic!("{other:?}"),
        };
        assert_eq!(kept, asked);
    }
}

/// A base stopper of 10 ohm and a bleeder whose own hint speaks of the high side.
const IN_CIRCUIT: &str = "
- step: stopper
  read: {what: Base stopper, unit: ohm, in_circuit: true, window: {near: 10 ohm, within: 10 %}}
  outside:
    - {below: 9 ohm, likely: solder bridge, next: look at both ends}
- step: bleeder
  read: {what: Bleeder, unit: ohm, in_circuit: true, window: {near: 100 ohm, within: 10 %}}
  outside:
    - {above: 110 ohm, likely: the bleeder is cracked, next: replace it}
- step: lifted
  read: {what: Bleeder with a leg lifted, unit: ohm, window: {near: 100 ohm, within: 10 %}}
";

#[test]
fn a_reading_in_circuit_stops_on_both_sides_and_says_how_much_it_means() {
    let causes = |answers: &[&str]| {
        let mut sitting = at(IN_CIRCUIT);
        sitting.say_all(answers);
        assert!(is_stopped(&sitting), "{answers:?}");
        let causes = sitting.question().stop.clone().unwrap().causes;
        causes.into_iter().map(|cause| format!("{}; {}", cause.likely, cause.next)).collect()
    };
    for answer in ["12 ohm", "OL"] {
        let high: Vec<String> = causes(&[answer]);
        assert_eq!(high.len(), 1, "{high:?}");
        assert!(high[0].starts_with("open or drifted high"), "{high:?}");
    }
    let low: Vec<String> = causes(&["5 ohm"]);
    assert_eq!(low.len(), 2, "{low:?}");
    assert!(low[0].starts_with("solder bridge"), "{low:?}");
    assert!(low[1].contains("not conclusive") && low[1].contains("lift one leg"), "{low:?}");
    let causes_of_it: Vec<String> = causes(&["10 ohm", "120 ohm"]);
    assert_eq!(causes_of_it, ["the bleeder is cracked; replace it"]);
    for (answers, why) in [
        (vec!["NaN"], "no value says nothing of the part"),
        (vec!["10 ohm", "100 ohm", "50 ohm"], "a part by itself is not in circuit"),
    ] {
        assert_eq!(causes(&answers), Vec::<String>::new(), "{why}");
    }
}

#[test]
fn another_word_at_a_thing_to_do_is_told_that_enter_is_enough() {
    let mut sitting = RunAtBench::new(&cold("- step: tidy\n  do: Tidy the wires\n"));
    sitting.make_safe();
    assert_eq!(sitting.key(), "tidy");
    sitting.say("off");
    assert!(sitting.refusal().unwrap().contains("press Enter alone"));
}

#[test]
fn a_stop_names_the_unit_that_was_not_typed() {
    let step = "- step: gate\n  read: {what: Gate, unit: ohm, window: {at_least: 1 kohm}}\n";
    let mut sitting = RunAtBench::new(&cold(step));
    sitting.make_safe().say("7");
    let shown = &sitting.question().stop.as_ref().unwrap().what;
    assert!(shown.contains("7 ohm is outside"), "{shown}");
}

#[test]
fn what_no_value_of_its_kind_can_be_is_asked_for_once_more_and_then_stops() {
    let steps = "
- step: earth
  read: {what: Earth, unit: ohm, window: {at_most: 0.3 ohm}}
  outside:
    - {below: 1 ohm, likely: no cause of this, next: nothing}
- step: tidy
  do: Tidy the wires
";
    let mut sitting = at(steps);
    sitting.say("-5");
    let refusal = sitting.refusal().unwrap();
    assert!(refusal.contains("resistance is never below zero"), "{refusal}");
    assert_eq!((sitting.key(), verdicts(&sitting)), ("earth", vec![]));
    sitting.say("-5");
    assert!(is_stopped(&sitting));
    let stop = sitting.question().stop.clone().unwrap();
    assert!(stop.what.contains("Leads swapped") && stop.causes.is_empty(), "{stop:?}");

    let mut sitting = at(steps);
    sitting.say_all(&["-0.1", "0.1"]);
    assert_eq!((sitting.key(), verdicts(&sitting)), ("tidy", vec![Verdict::Inside]));
}

#[test]
fn what_is_only_written_down_is_no_nonsense_either() {
    let steps = "
- step: rail
  read: {what: Rail, unit: V, function: ac-voltage, window: {record_only: true}}
";
    for text in ["1 MV", "-12 V"] {
        let mut sitting = at(steps);
        sitting.say_all(&[text, text]);
        let stops = |fact: &Fact| matches!(fact, Fact::Stopped { .. });
        assert!(sitting.facts().iter().any(stops), "{text}");
    }
}

#[test]
fn a_difference_may_be_below_zero_and_its_size_counts() {
    let steps = "
- step: left
  read: {what: Left, unit: ohm, window: {at_most: 9 ohm}}
- step: right
  read: {what: Right, unit: ohm, window: {at_most: 9 ohm}}
- step: apart
  work_out: {what: Left against right, value: left - right, unit: ohm, window: {at_most: 1 ohm}}
- step: tidy
  do: Tidy the wires
";
    let mut sitting = at(steps);
    sitting.say_all(&["2", "2.5"]);
    assert_eq!(sitting.key(), "tidy");
    let mut sitting = at(steps);
    sitting.say_all(&["2", "4"]);
    assert!(is_stopped(&sitting), "{:?}", verdicts(&sitting));
}
