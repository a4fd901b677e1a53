//! Cross-checks: two ways to the same quantity, with numbers from a circuit simulator.

use super::sitting::{RunAtBench, cold};
use crate::quantity::Reading;
use crate::record::{Fact, StopReason};

const FAULTS: &str = include_str!("../../../tests/data/emitter-resistor-faults.csv");

/// The current of a rail against the drop over the upper emitter resistor. Beside its output pair the amplifier draws
/// 18 mA a rail: by hand from the netlist, (35 V - 1 V) / 6.8 kohm in the input pair, (35 V - 1 V) / 4.4 kohm in the
/// voltage stage, two junctions over 220 ohm in the drivers.
const CROSS_CHECK: &str = "
- step: supply
  read: {what: Current of the positive rail, unit: mA, window: {record_only: true}}
- step: drop
  read: {what: Drop over R13, unit: mV, window: {record_only: true}}
- step: alike
  compare: {what: Rail current, this: drop / 0.33 ohm + 18 mA, with: supply, within: 25 %, unit: mA}
  outside:
    - {above: 2 * supply, likely: emitter resistor open, next: lift it and measure it}
    - {below: supply, likely: emitter resistor bridged, next: look for solder}
- step: tidy
  do: Tidy the wires
";

/// A row of the simulator's table: part, fault, current of the positive rail (A), current worked out from the drop (A).
fn rows() -> Vec<(&'static str, &'static str, f64, f64)> {
    let mut lines = FAULTS.lines().map(|line| line.split(',').collect::<Vec<_>>());
    let head = lines.next().unwrap();
    let column = |name: &str| head.iter().position(|column| *column == name).unwrap();
    let (part, fault) = (column("part"), column("fault"));
    let (rail, idle) = (column("i_pos_a"), column("iq_a"));
    lines
        .map(|row| (row[part], row[fault], row[rail].parse().unwrap(), row[idle].parse().unwrap()))
        .collect()
}

fn compared(rail: &str, drop: &str) -> RunAtBench {
    let mut sitting = RunAtBench::new(&cold(CROSS_CHECK));
    sitting.make_safe().say_all(&[rail, drop]);
    sitting
}

fn likely(sitting: &RunAtBench) -> Option<&str> {
    let is_stopped = sitting
        .facts()
        .iter()
        .any(|fact| matches!(fact, Fact::Stopped { reason: StopReason::Outside, .. }));
    let stop = sitting.question().stop.as_ref().filter(|_| is_stopped)?;
    Some(stop.causes[0].likely.as_str())
}

#[test]
fn an_open_or_bridged_emitter_resistor_stops_and_a_sound_one_passes() {
    let found: Vec<_> = rows()
        .into_iter()
        .map(|(part, fault, rail, idle)| {
            let (rail, drop) = (format!("{} mA", rail * 1e3), format!("{:.2} mV", idle * 330.0));
            (part, fault, likely(&compared(&rail, &drop)).map(str::to_owned))
        })
        .collect();
    let because = |cause: &str| Some(cause.to_owned());
    assert_eq!(
        found,
        [
            ("none", "none", None),
            ("R13", "open", because("emitter resistor open")),
            ("R13", "short", because("emitter resistor bridged")),
            // The upper resistor drops nothing, as the pair carries nothing.
            ("R14", "open", because("emitter resistor bridged")),
            // Seen from the upper resistor everything is as it should be.
            ("R14", "short", None),
        ]
    );
}

#[test]
fn both_values_are_in_the_fact_and_in_the_words_of_the_stop() {
    let sitting = compared("17.85 mA", "686.84 mV");
    let judged = sitting.facts().iter().find_map(|fact| match fact {
        Fact::Judged { key, what, reading: Reading::Number(this), bounds, .. }
            if key == "alike" =>
        {
            Some((what.as_str(), this.to_f64(), bounds.expected.unwrap().to_f64()))
        }
        _ => None,
    });
    let (what, this, with) = judged.unwrap();
    assert_eq!(what, "Rail current: 2.099 A against 17.85 mA");
    assert!((this - 2.099).abs() < 0.001 && (with - 0.01785).abs() < 1e-9, "{this} {with}");
    let stop = &sitting.question().stop.as_ref().unwrap().what;
    assert!(stop.contains("2.099 A against 17.85 mA"), "{stop}");
}
