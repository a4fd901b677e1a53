//! Readings too close to their limit for the meter: taken again, accepted by a second person, or a stop.

use super::sitting::{ONE_POINT, RunAtBench, at_60_v};
use crate::quantity::{Quantity, Reading};
use crate::record::{Fact, Outcome, StopReason};
use crate::runner::Effect;
use crate::window::Verdict;

/// A meter with 1 % of reading on its only range: about 10 V is neither inside nor outside at most 10 V.
pub(super) const BENCH: &str = r#"
format: 1
bench: A bench for tests (invented)
instruments:
  meter:
    what: a hand-held meter (invented)
    serial: T-1
    calibration_due: 2031-01-01
    functions:
      dc-voltage: [{range: 60 V, count: 10 mV, of_reading: 1 %}]
"#;

/// U of the meter at 10 V: 0.95 of the half-width of 0.1 V, which dominates. So 9.8 V is inside 10 V, 10.2 V outside.
const STEPS: &str = r#"
decision_rule: guarded
stages:
  - stage: cold
    title: Cold
    source: none
    steps:
      - step: output
        read: {what: Output, unit: V, function: dc-voltage, window: {at_most: 10 V}}
        outside: [{likely: the divider, next: measure its resistors}]
      - step: doubled
        work_out: {what: Twice the output, value: 2 * output, unit: V, window: {at_most: 20 V}}
      - step: tidy
        do: Tidy the wires
"#;

fn sitting() -> RunAtBench {
    let mut sitting = RunAtBench::at_bench(&at_60_v(&format!("{ONE_POINT}{STEPS}")), BENCH);
    sitting.make_safe();
    sitting
}

fn verdicts(sitting: &RunAtBench) -> Vec<Verdict> {
    let facts = sitting.facts().iter();
    facts
        .filter_map(|fact| match fact {
            Fact::Judged { verdict, .. } => Some(*verdict),
            _ => None,
        })
        .collect()
}

#[test]
fn a_value_well_inside_needs_nobody() {
    let mut sitting = sitting();
    sitting.say("9.8 V");
    assert_eq!(verdicts(&sitting), [Verdict::Inside, Verdict::Inside]);
    assert_eq!(sitting.key(), "tidy");
}

#[test]
fn a_value_beyond_the_guard_band_stops() {
    let mut sitting = sitting();
    sitting.say("10.2 V");
    assert_eq!(sitting.key(), "what-next");
}

#[test]
fn a_value_in_the_guard_band_is_neither_inside_nor_a_stop() {
    for text in ["9.95 V", "10.0 V", "10.05 V"] {
        let mut sitting = sitting();
        sitting.say(text);
        assert_eq!(verdicts(&sitting), [Verdict::Undecided], "{text}");
        assert_eq!(sitting.key(), "output.undecided", "{text}");
        assert!(!sitting.effects().iter().any(|effect| matches!(effect, Effect::OutputsOff)));
    }
}

#[test]
fn what_the_verdict_rests_on_is_in_the_record() {
    let mut sitting = sitting();
    sitting.say("9.8 V");
    let decision = sitting.facts().iter().find_map(|fact| match fact {
        Fact::Judged { decision, .. } => Some(decision.clone()),
        _ => None,
    });
    let decision = decision.unwrap();
    let uncertainty = decision.uncertainty.unwrap();
    let half_width = 0.098;
    assert!((uncertainty.standard.to_f64() - half_width / 3_f64.sqrt()).abs() < 1e-3);
    assert!(decision.conformity.unwrap() > 0.99);
    assert!(decision.false_accept.unwrap() < 0.01);
    assert!(decision.meter.unwrap().contains("T-1, calibration due 2031-01-01"));
}

#[test]
fn again_takes_it_with_a_better_meter_and_not_for_ever() {
    let mut sitting = sitting();
    for _ in 0..3 {
        sitting.say("10.0 V");
        assert_eq!(sitting.key(), "output.undecided");
        sitting.say("again");
    }
    assert_eq!(sitting.key(), "output");
    sitting.say("10.0 V").say("again");
    assert!(sitting.refusal().is_some(), "three times is enough");
}

#[test]
fn a_second_person_accepts_it_with_a_reason_and_it_stays_in_sight() {
    let mut sitting = sitting();
    sitting.say_all(&["9.95 V", "accept", "Kim Bench-Test"]);
    assert!(sitting.refusal().unwrap().contains("nobody who has worked"));
    sitting.say_all(&["Moss Other-Test", ""]);
    assert!(sitting.refusal().is_some(), "a reason is wanted");
    sitting.say("measured again by the other bench");
    let conceded = sitting.facts().iter().any(
        |fact| matches!(fact, Fact::Conceded { key, by, .. } if key == "output" && by == "Moss Other-Test"),
    );
    assert!(conceded);
    // What is worked out of it is as uncertain, and has its own question.
    assert_eq!(sitting.key(), "doubled.undecided");
}

#[test]
fn stop_treats_it_as_outside() {
    let mut sitting = sitting();
    sitting.say_all(&["10.0 V", "stop"]);
    let stopped = Fact::Stopped { key: Some("output".into()), reason: StopReason::Undecided };
    assert!(sitting.facts().contains(&stopped));
    assert!(matches!(sitting.effects()[0], Effect::OutputsOff));
    sitting.say("end");
    assert!(sitting.effects().contains(&Effect::Finish(Outcome::StoppedOnReading)));
}

#[test]
fn a_worked_out_value_cannot_be_taken_again() {
    let mut sitting = sitting();
    sitting.say_all(&["9.95 V", "accept", "Moss Other-Test", "measured by the other bench"]);
    sitting.say("again");
    assert!(sitting.refusal().is_some());
}

/// Behind 1 Mohm a meter of 10 Mohm shows 10/11 of what is there: 36 V for 39.6 V.
#[test]
fn what_a_meter_takes_away_is_added_back_before_it_is_judged() {
    let bench = BENCH.replace("of_reading: 1 %", "of_reading: 1 %, input_resistance: 10 Mohm");
    let grid = r"
decision_rule: guarded
stages:
  - stage: cold
    title: Cold
    source: none
    steps:
      - step: grid
        read: {what: Grid, unit: V, function: dc-voltage, source_resistance: 1 Mohm, window: {at_most: MOST}}
      - step: doubled
        work_out: {what: Twice the grid, value: 2 * grid, unit: V, window: {at_most: 99 V}}
      - step: tidy
        do: Tidy the wires
";
    let read = |most: &str| {
        let procedure = at_60_v(&format!("{ONE_POINT}{}", grid.replace("MOST", most)));
        let mut sitting = RunAtBench::at_bench(&procedure, &bench);
        sitting.make_safe().say("36 V");
        sitting
    };
    let stopped = read("38 V");
    assert!(verdicts(&stopped)[0].is_outside());
    let shown = stopped.question().stop.as_ref().unwrap().what.clone();
    assert!(shown.contains("36 V, 39.60 V before the meter loads it,"), "{shown}");
    let held = read("41 V");
    assert_eq!(verdicts(&held), [Verdict::Inside, Verdict::Inside]);
    let judged = held.facts().iter().filter_map(|fact| match fact {
        Fact::Judged { reading, decision, .. } => Some((reading, decision.judged(reading))),
        _ => None,
    });
    let volts = |text: &str| Reading::Number(Quantity::parse(text).unwrap());
    let judged: Vec<_> = judged.collect();
    assert_eq!(judged[0], (&volts("36 V"), volts("39.6 V")));
    assert_eq!(judged[1], (&volts("79.2 V"), volts("79.2 V")), "formulas see what is there");
}

/// A burden of 100 ohm beside 1 kohm lets 10/11 of the current through: 35.02 mA for 38.52 mA.
#[test]
fn a_burden_is_added_to_a_current_as_what_it_is() {
    let bench = BENCH.replace(
        "dc-voltage: [{range: 60 V, count: 10 mV, of_reading: 1 %}]",
        "dc-current: [{range: 60 mA, count: 10 uA, of_reading: 1 %, input_resistance: 100 ohm}]",
    );
    let steps = r"
stages:
  - stage: cold
    title: Cold
    source: none
    steps:
      - step: idle
        read: {what: Idle, unit: mA, function: dc-current, source_resistance: 1 kohm, window: {at_most: 40 mA}}
      - step: tidy
        do: Tidy the wires
";
    let mut sitting = RunAtBench::at_bench(&at_60_v(&format!("{ONE_POINT}{steps}")), &bench);
    sitting.make_safe().say("35.02 mA");
    assert_eq!(verdicts(&sitting), [Verdict::Inside]);
    let corrected = sitting.facts().iter().find_map(|fact| match fact {
        Fact::Judged { decision, .. } => decision.corrected,
        _ => None,
    });
    assert_eq!(corrected, Some(Quantity::parse("38.522 mA").unwrap()));
}

#[test]
fn where_nothing_is_known_of_the_meter_no_uncertainty_is_stated() {
    let steps = STEPS.replace("decision_rule: guarded\n", "");
    let mut sitting = RunAtBench::new(&at_60_v(&format!("{ONE_POINT}{steps}")));
    sitting.make_safe().say("9.8 V");
    let stated = sitting.facts().iter().filter_map(|fact| match fact {
        Fact::Judged { decision, .. } => Some(decision.uncertainty),
        _ => None,
    });
    assert_eq!(stated.collect::<Vec<_>>(), [None, None]);
}

#[test]
fn a_window_in_which_the_meter_can_accept_nothing_is_told_as_such() {
    let asked = |window: &str| {
        let steps = STEPS.replace("{at_most: 10 V}", window);
        let mut sitting = RunAtBench::at_bench(&at_60_v(&format!("{ONE_POINT}{steps}")), BENCH);
        sitting.make_safe().say("9.95");
        assert_eq!(sitting.key(), "output.undecided");
        sitting.question().what.clone()
    };
    assert!(asked("{at_most: 10 V}").contains("9.95 V is too close to its limit"));
    assert!(asked("{between: [9.9 V, 10 V]}").contains("whatever it shows"));
}
