//! What a run takes, told before it begins: the sums are made by hand here.

use super::sitting::RunAtBench;
use crate::record::Source;
use crate::runner::{AtHand, PeopleDuty, PeopleNeed};

/// Two stages on the bench supply with other ceilings and one on the mains. Invented.
const THREE: &str = r#"
charge_points:
  plus: {at: "reservoir plus", below: 2 V, holds: {capacitance: 1 mF, charged_to: 20 V, bleeder: 1 kohm}}
stages:
  - stage: low
    title: Low
    source: bench-supply
    ceiling: {voltage: 30 V, current: 1 A}
    hold: {released_by: supervisor, ask: Seen}
    steps:
      - step: "on"
        set: {what: Outputs on, power: "on"}
      - step: drop
        read: {what: Drop, unit: mV, function: dc-voltage, window: {at_most: 50 mV}}
        for_each: [left, right]
        verify: independent
        agree_within: 5 mV
      - step: rest
        wait: {what: A minute, time: 1 min}
      - step: "off"
        set: {what: Outputs off, power: "off"}
  - stage: high
    title: High
    source: bench-supply
    ceiling: {voltage: 20 V, current: 2 A}
    steps:
      - step: clip
        do: Put a clip on
        fits: a clip
        allowed_on: [bench-supply, mains]
      - step: on-again
        set: {what: Outputs on, power: "on"}
      - step: warm
        watch: {what: Drop, unit: mV, function: dc-voltage, every: 1 min, time: 5 min, window: {at_most: 50 mV}}
  - stage: mains
    title: Mains
    source: mains
    ceiling: {voltage: 230 V, current: 1 A}
    steps:
      - step: in-reach
        witness: {by: colleague, in_reach: true, ask: Stay}
      - step: free
        hold: {released_by: supervisor, ask: Free}
"#;

fn at_hand(procedure: &str, bench: Option<&str>) -> AtHand {
    let mut sitting = match bench {
        Some(bench) => RunAtBench::at_bench(procedure, bench),
        None => RunAtBench::new(procedure),
    };
    sitting.runner().at_hand()
}

#[test]
fn the_time_is_that_of_the_waits_the_watches_and_the_discharge() {
    // R C ln(V0 / V) with 5 % on the resistance and 20 % on the capacitance: 1 s * 1.26 * ln(10) = 2.9 s.
    let discharge_ms = 2_902;
    let least = at_hand(THREE, None).least_ms;
    assert!(least.abs_diff(60_000 + 300_000 + discharge_ms) < 100, "{least}");
}

#[test]
fn each_source_is_told_once_with_its_highest_ceiling() {
    let sources = at_hand(THREE, None).sources;
    let told: Vec<_> = sources
        .iter()
        .map(|used| (used.source, used.ceiling.as_ref().unwrap().voltage.to_f64()))
        .collect();
    assert_eq!(told, [(Source::BenchSupply, 30.0), (Source::Mains, 230.0)]);
}

#[test]
fn all_who_are_needed_besides_the_one_at_the_bench_are_told() {
    let need = |role: &str, duty, times| PeopleNeed { role: role.to_owned(), duty, times };
    assert_eq!(
        at_hand(THREE, None).people,
        [
            need("colleague", PeopleDuty::StaysInReach, 1),
            need("supervisor", PeopleDuty::Releases, 2),
            need("second person", PeopleDuty::Verifies, 1),
        ]
    );
}

#[test]
fn a_function_is_told_with_the_instrument_that_has_it_or_without() {
    let bench = "
format: 1
bench: Quillmere (invented)
instruments:
  pocket: {what: A meter (invented), serial: T-1, functions: {dc-voltage: [{range: 60 V, count: 10 mV, of_reading: 1 %, of_range: 1 %}]}}
";
    let named = |bench| {
        let meters = at_hand(THREE, bench).meters;
        meters.into_iter().map(|need| (need.instrument, need.functions)).collect::<Vec<_>>()
    };
    let function = || vec!["dc-voltage".to_owned()];
    assert_eq!(named(None), [(None, function())]);
    assert_eq!(named(Some(bench)), [(Some("pocket".to_owned()), function())]);
    assert_eq!(at_hand(THREE, None).temporary, ["a clip"]);
}
