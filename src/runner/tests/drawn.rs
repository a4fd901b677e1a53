//! How sure a verdict is on a value whose formula is far from straight.

use super::sitting::{RunAtBench, at_60_v, cold};
use super::undecided::BENCH;
use crate::record::{Decision, Fact};

const STEPS: &str = "
- step: output
  read: {what: Output, unit: V, function: dc-voltage, window: {near: 2.5 V, within: 1 V}}
- step: ceiling
  work_out: {what: Ten watts over it, value: 10 W / output, unit: A, window: {at_most: 4.8 A}}
- step: both
  work_out: {what: The same between two limits, value: 10 W / output, unit: A, window: {between: [3.4 A, 4.8 A]}}
- step: square
  work_out: {what: A square, value: (output - 1 V) * (output - 1 V) / 1 ohm, unit: W, window: {at_most: 3.61 W}}
- step: straight
  work_out: {what: Twice it, value: 2 * output, unit: V, window: {at_most: 5.8 V}}
- step: after
  work_out: {what: Twice the current, value: 2 * ceiling, unit: A, window: {at_most: 9.6 A}}
- step: noted
  work_out: {what: The current once more, value: 1 * ceiling, unit: A, window: {record_only: true}}
- step: tidy
  do: Tidy the wires
";

/// The chance that the voltage is more than `by` away from 2.5 V to one side, by counting over both rectangles.
fn beyond(by: f64) -> f64 {
    const CELLS: usize = 2000;
    let middles =
        |half: f64| (0..CELLS).map(move |n| half * ((2 * n + 1) as f64 / CELLS as f64 - 1.0));
    let pairs = middles(0.5).map(|promised| {
        middles(0.05).filter(|digit| promised + digit > by).count() as f64 / CELLS as f64
    });
    pairs.sum::<f64>() / CELLS as f64
}

fn sitting() -> RunAtBench {
    // 20 % of reading and a last digit of 100 mV: at 2.5 V two rectangles of half-widths 0.5 V and 0.05 V.
    let bench = BENCH.replace("10 mV, of_reading: 1 %", "100 mV, of_reading: 20 %");
    let mut sitting = RunAtBench::at_bench(&at_60_v(&cold(STEPS)), &bench);
    sitting.make_safe();
    sitting.say("2.5 V");
    sitting
}

fn decision(sitting: &RunAtBench, wanted: &str) -> Decision {
    let found = sitting.facts().iter().find_map(|fact| match fact {
        Fact::Judged { key, decision, .. } if key.as_str() == wanted => Some(decision),
        _ => None,
    });
    found.unwrap().as_ref().clone()
}

#[test]
fn the_chance_of_a_false_accept_follows_the_formula_and_not_its_slope() {
    let sitting = sitting();
    assert_eq!(sitting.key(), "tidy");
    let too_large = beyond(2.5 - 10.0 / 4.8);
    let too_small = beyond(10.0 / 3.4 - 2.5);
    let square = beyond(1.0 + 3.61_f64.sqrt() - 2.5);
    // Worked by hand: below 0.45 V the tail of both rectangles is 1/2 - by / (2 * 0.5 V).
    for (counted, by_hand) in [(too_large, 1.0 / 12.0), (too_small, 0.058_82), (square, 0.1)] {
        assert!((counted - by_hand).abs() < 1e-3, "{counted} against {by_hand}");
    }
    for (key, expected) in
        [("ceiling", too_large), ("both", too_large + too_small), ("square", square)]
    {
        let decision = decision(&sitting, key);
        let (stated, sure) = (decision.false_accept.unwrap(), decision.conformity.unwrap());
        assert!((stated - expected).abs() < 0.015, "{key}: {stated} against {expected}");
        assert!((stated + sure - 1.0).abs() < 1e-12);
    }
    // A straight formula goes by the shapes of its inputs, as before.
    let straight = decision(&sitting, "straight").false_accept.unwrap();
    assert!((straight - beyond(0.4)).abs() < 1e-3, "{straight}");
}

#[test]
fn the_chance_is_not_stated_of_what_is_worked_out_from_draws() {
    let sitting = sitting();
    for key in ["after", "noted"] {
        let decision = decision(&sitting, key);
        assert!(decision.uncertainty.is_some());
        assert_eq!((decision.conformity, decision.false_accept), (None, None), "{key}");
    }
}
