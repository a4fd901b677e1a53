//! A worked-out value whose uncertainty is drawn at random: the draws are the same every time, so that a record plays again to it.

use std::fs;

use serde_json::Value;

use crate::register::{entry, forged};
use crate::support::bench::Bench;

/// How sure 1/x of a reading with a wide uncertainty is, that no straight line tells.
const PROCEDURE: &str = "format: 1
procedure: drawn
revision: 1
title: A worked-out value that is drawn (invented)
run_by: technician
charge_points:
  smoothing:
    at: Across the smoothing capacitor
    below: 2 V
    holds: {capacitance: 10 uF, charged_to: 30 V, bleeder: 1 kohm}
known_source: {what: The 9 V test battery, between: [8 V, 10 V]}
stages:
  - stage: cold
    title: Nothing connected
    source: none
    steps:
      - step: plug-out
        do: Pull the plug of the lantern
      - step: cold-proof
        prove_dead: Before hands go in
      - step: joint
        read: {what: The joint, unit: ohm, function: resistance, window: {at_most: 3 ohm}}
        basis: shop rule of the invented workshop
      - step: conducts
        work_out: {what: What the joint conducts, value: 1 / joint, unit: S, window: {at_least: 0.1 S}}
        basis: shop rule of the invented workshop
      - step: dead-again
        prove_dead: After the work
";

const METER: &str = "format: 1
bench: A bench (invented)
ambient: 22 degC
instruments:
  meter:
    what: an invented meter
    serial: '1'
    functions:
      resistance: [{range: 600 ohm, count: 0.1 ohm, of_reading: 1 %, counts: 5}]
";

const ANSWERS: &str = "format: 1
scenario: A joint with a wide uncertainty (invented)
operator: Kim Example-Tech (invented)
answers:
  make-safe: {off: off}
  dead: {before: 9.1 V, smoothing: 0.02 V, after: 9.1 V, stands: in sight}
  plug-out: done
  joint: 1.1 ohm
  closing-words: nothing
  what-next: end
";

/// What a record says of the worked-out value.
fn judged(entries: &[Value]) -> Value {
    let facts = entries.iter().flat_map(|entry| entry["facts"].as_array().unwrap());
    let judged: Vec<_> =
        facts.filter(|fact| fact["judged"]["key"] == "conducts").cloned().collect();
    assert_eq!(judged.len(), 1, "{judged:?}");
    judged[0]["judged"].clone()
}

#[test]
fn a_drawn_uncertainty_is_drawn_alike_again_and_an_altered_one_is_found() {
    let bench = Bench::new();
    for (name, text) in [("drawn.yaml", PROCEDURE), ("meter.yaml", METER), ("a.yaml", ANSWERS)] {
        bench.write(name, text);
    }
    let run = ["run", "drawn.yaml", "--bench", "meter.yaml", "--answers", "a.yaml"];
    (0..2).for_each(|_| drop(bench.wattstep(&run).any_out().exit(0)));
    let records = bench.records();
    let entries = |n: usize| -> Vec<Value> {
        let text = fs::read_to_string(&records[n]).unwrap();
        let entry = |line: &str| serde_json::from_str::<Value>(line).unwrap()["entry"].clone();
        text.lines().map(entry).collect()
    };
    let worked_out = judged(&entries(0));
    let (first, second) = (&worked_out["decision"], &judged(&entries(1))["decision"]);
    // A whole number of two thousand draws: no straight line gives that.
    let misses = (1.0 - first["conformity"].as_f64().unwrap()) * 2001.0;
    assert!((misses - misses.round()).abs() < 1e-6 && misses > 0.5, "{first}");
    assert_eq!(first, second);
    let printed = bench.wattstep(&["verify", "--all", "--conclusions"]).any_out().exit(0).out;
    assert!(!printed.contains("differ"), "{printed}");

    let sound = fs::read_to_string(&records[0]).unwrap();
    for pointer in ["/conformity", "/false_accept"] {
        let was = first.pointer(pointer).unwrap().to_string();
        let now = (first.pointer(pointer).unwrap().as_f64().unwrap() * 0.999).to_string();
        let member = pointer.rsplit('/').next().unwrap();
        let (was, now) = (format!("\"{member}\":{was}"), format!("\"{member}\":{now}"));
        let lines: Vec<_> = sound.lines().map(|line| entry(line).replace(&was, &now)).collect();
        assert!(lines.iter().any(|line| line.contains(&now)), "{was} is nowhere");
        fs::write(&records[0], forged(lines.iter().map(String::as_str))).unwrap();
        let alone = ["verify", "--alone", records[0].to_str().unwrap()];
        let printed = bench.wattstep(&alone).out("LOOK AT IT: line 8: ").exit(6).out;
        assert!(printed.contains(&format!("{member}: version ")), "{printed}");
    }
    // A verdict that does not follow is no matter of a build, nor is the value that a person sees.
    let shown = format!("\"text\":{}", worked_out["text"]);
    for (was, now) in
        [(r#""verdict":"inside""#, r#""verdict":"undecided""#), (&shown, r#""text":"9 S""#)]
    {
        let lines: Vec<_> = sound.lines().map(|line| entry(line).replace(was, now)).collect();
        assert!(lines.iter().any(|line| line.contains(now)), "{was} is nowhere");
        fs::write(&records[0], forged(lines.iter().map(String::as_str))).unwrap();
        bench
            .wattstep(&["verify", "--alone", records[0].to_str().unwrap()])
            .out("does not follow")
            .exit(7);
    }
}
