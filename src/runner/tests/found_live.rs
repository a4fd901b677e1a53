//! A voltage on equipment that is taken for dead, inside the window of its own step or not.

use super::sitting::{ONE_POINT, RunAtBench, cold};
use crate::record::{Energy, Fact, StopReason};
use crate::runner::Effect;

const LIVE: &str = "
- step: dead
  prove_dead: Before hands go in
- step: inside
  read: {what: Voltage behind the switch, unit: V, window: {between: [-300 V, 300 V]}}
- step: tidy
  do: Tidy the wires
";

/// Right before the reading, proved dead.
fn proved(steps: &str) -> RunAtBench {
    let mut sitting = RunAtBench::new(&cold(steps));
    sitting.make_safe();
    sitting
}

fn stopped(sitting: &RunAtBench) -> bool {
    let stops = |fact: &Fact| matches!(fact, Fact::Stopped { reason: StopReason::FoundLive { key }, .. } if key.as_str() == "inside");
    sitting.facts().iter().any(stops)
}

#[test]
fn a_voltage_on_equipment_that_is_proved_dead_ends_the_proof_whatever_its_window_says() {
    for value in ["230", "-230 V", "2.1", "-2.1", "OL"] {
        let mut sitting = proved(LIVE);
        assert_eq!(sitting.key(), "inside");
        sitting.say(value);
        assert!(stopped(&sitting), "{value}: {:?}", sitting.facts());
        assert!(matches!(sitting.effects().first(), Some(Effect::OutputsOff)), "{value}");
        let unknown = Fact::Energy { state: Energy::Unknown };
        assert!(sitting.facts().contains(&unknown), "{value}");
        assert_eq!(sitting.key(), "make-safe.off", "{value}");
        let told = sitting.question().stop.as_ref().unwrap().what.clone();
        assert!(told.starts_with("THIS IS LIVE: HANDS OUT. Voltage behind the switch"), "{told}");
        assert!(sitting.facts().iter().any(|fact| matches!(fact, Fact::Judged { .. })), "{value}");
    }
    for value in ["1.9", "-1.9 V", "0", "12 mV"] {
        let mut sitting = proved(LIVE);
        sitting.say(value);
        assert_eq!(sitting.key(), "tidy", "{value}");
    }
}

#[test]
fn a_live_voltage_is_not_asked_for_again_as_a_slip() {
    // 230 mV would be inside.
    let slip = LIVE.replace("between: [-300 V, 300 V]", "at_most: 0.5 V");
    let mut sitting = proved(&slip);
    sitting.say("230");
    assert!(stopped(&sitting), "{:?}", sitting.facts());
    let mut sitting = proved(&slip);
    sitting.say("1.2");
    assert!(!stopped(&sitting), "below the limit it is an ordinary reading");
}

#[test]
fn what_is_printed_what_the_meter_drives_and_other_values_are_no_voltage_of_the_equipment() {
    for read in [
        "what: Mains voltage on the rating plate, unit: V, window: {near: 230 V, within: 5 %}",
        "what: Diode test of the bridge, unit: V, function: diode-test, window: {at_most: 300 V}",
        "what: Test voltage on the tester, unit: V, window: {near: 230 V, within: 5 %}",
        "what: Across the fuse, unit: ohm, window: {at_most: 300 ohm}",
    ] {
        let steps = LIVE.replace(
            "what: Voltage behind the switch, unit: V, window: {between: [-300 V, 300 V]}",
            read,
        );
        let mut sitting = proved(&steps);
        sitting.say("230");
        assert_eq!(sitting.key(), "tidy", "{read}");
    }
}

#[test]
fn a_second_reading_that_is_live_counts_as_well() {
    let twice = LIVE.replace("300 V]}}", "300 V]}}\n  verify: independent\n  agree_within: 500 V");
    let mut sitting = proved(&twice);
    sitting.say("0.1");
    sitting.say("Sam Second-Test");
    assert_eq!(sitting.key(), "inside.second");
    sitting.say("230");
    let stop = StopReason::FoundLive { key: "inside.second".into() };
    let is_stop = |fact: &Fact| matches!(fact, Fact::Stopped { reason, .. } if *reason == stop);
    assert!(sitting.facts().iter().any(is_stop), "{:?}", sitting.facts());
}

#[test]
fn the_lowest_limit_of_all_points_tells() {
    let two = cold(LIVE).replace(
        ONE_POINT.trim(),
        &format!("{}\n  inlet: {{at: inlet, below: 10 V}}", ONE_POINT.trim()),
    );
    let mut sitting = RunAtBench::new(&two);
    sitting.make_safe();
    sitting.say("5");
    assert!(stopped(&sitting), "{:?}", sitting.facts());
}

#[test]
fn a_meter_that_is_clipped_on_trips_at_the_limit_of_dead() {
    let bench = "format: 1\nbench: A bench (invented)\ninstruments:\n  osprey:\n    what: meter\n    serial: A1\n    \
        functions: {dc-voltage: [{range: 600 V, count: 100 mV, of_reading: 0.5 %}]}\n    connection: {address: 'tcp://127.0.0.1:9'}\n";
    let watch = LIVE.replace(
        "read: {what: Voltage behind the switch, unit: V, window: {between: [-300 V, 300 V]}}",
        "watch: {what: Voltage behind the switch, unit: V, function: dc-voltage, every: 10 s, time: 1 min, window: {between: [-300 V, 300 V]}}",
    );
    let mut sitting = RunAtBench::at_bench(&cold(&watch), bench);
    sitting.make_safe();
    sitting.say("done");
    let guards = sitting.question().guards.clone();
    let high = guards.first().and_then(|guard| guard.bounds.high).map(|guard| guard.to_f64());
    assert_eq!(high, Some(2.0), "{guards:?}");
}
