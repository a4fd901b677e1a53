//! Waits and watches: time passes, and nothing moves by itself on live equipment.

use super::sitting::{RunAtBench, cold, rails};
use crate::record::Fact;
use crate::runner::Expects;

const SETTLE: &str = "
- step: settle
  wait: {what: Let it settle, time: 60 s}
- step: idle
  read: {what: Current, unit: mA, window: {at_most: 100 mA}}
";

#[test]
fn the_end_of_a_wait_is_acknowledged_while_live() {
    let mut sitting = RunAtBench::new(&rails(SETTLE));
    sitting.live();
    assert_eq!((sitting.key(), sitting.wait_ms()), ("settle", 60_000));
    sitting.pass(59_000);
    assert!(sitting.effects().is_empty(), "too early");
    sitting.say("done");
    assert!(sitting.effects().is_empty(), "a wait is not talked away");
    sitting.sit_out();
    assert_eq!(sitting.facts(), [Fact::Waited { key: "settle".into(), ms: 60_000 }]);
    assert_eq!((sitting.key(), &sitting.question().expects), ("settle", &Expects::Done));
    sitting.pass(24 * 3600 * 1000);
    assert!(sitting.effects().is_empty(), "a day later it is still there");
    sitting.acknowledge();
    assert_eq!(sitting.key(), "idle");
}

#[test]
fn a_wait_on_dead_equipment_goes_on_by_itself() {
    let mut sitting =
        RunAtBench::new(&cold(&format!("- step: tidy\n  do: Tidy\n{}", SETTLE.trim())));
    sitting.make_safe().say("done").sit_out();
    assert_eq!(sitting.key(), "idle");
}

#[test]
fn a_watch_reads_at_intervals_under_numbered_keys() {
    let watch = "
- step: drift
  watch: {what: Current, unit: mA, every: 30 s, time: 60 s, window: {at_most: 100 mA}}
- step: \"off\"
  set: {what: Outputs off, power: \"off\"}
";
    let mut sitting = RunAtBench::new(&rails(watch));
    sitting.live();
    for (reading, wait) in [("drift.1", "drift.wait-2"), ("drift.2", "drift.wait-3")] {
        assert_eq!(sitting.key(), reading);
        sitting.say("60 mA");
        assert_eq!((sitting.key(), sitting.wait_ms()), (wait, 30_000));
        // Nobody passes the next reading without looking: no word is asked for before it.
        sitting.sit_out();
    }
    assert_eq!(sitting.key(), "drift.3");
    sitting.say("");
    assert_eq!(sitting.key(), "drift.3");
    sitting.say("60 mA");
    assert_eq!(sitting.key(), "off");
}
