//! Connected instruments: they read when told to, sample while time passes, and never decide anything.

use super::sitting::{ONE_POINT, RunAtBench};
use crate::procedure::Point;
use crate::procedure::act::Way;
use crate::quantity::{Dimension, Quantity, Reading, Unit};
use crate::record::{Event, Fact, Origin, OutputOn, SampleSpan, StopReason, Trace, TripCause};
use crate::runner::laws::BENCH;
use crate::runner::{Effect, Expects, Presence};

/// A stage on the bench supply with these steps after the ramp.
fn rails(steps: &str) -> String {
    let steps: String =
        steps.trim_matches('\n').lines().map(|line| format!("      {line}\n")).collect();
    format!(
        r#"{ONE_POINT}
stages:
  - stage: rails
    title: Rails
    source: bench-supply
    ceiling: {{voltage: 30 V, current: 1 A}}
    while_on: {{plus.current: {{at_most: 100 mA}}}}
    steps:
      - step: limits
        do: Set the limits by hand
        by_hand: true
      - step: up
        set: {{what: Bring the rail up, channels: [plus], to: 20 V, over: 10 s}}
{steps}"#
    )
}

const SOAK: &str = "
- step: soak
  watch: {what: Current, unit: mA, from: plus.current, every: 30 s, time: 60 s, window: {at_most: 80 mA},
          steady: {drift_per_minute: 5 mA, within: 4 mA, over: 30 s}}
- step: after
  do: Look at it
";

fn by(sitting: &RunAtBench) -> Option<Way> {
    match &sitting.question().expects {
        Expects::Value { by, .. } => by.as_deref().cloned(),
        _ => None,
    }
}

/// Makes safe and clears the bench, up to the first question on the live source.
fn up(sitting: &mut RunAtBench) -> &mut RunAtBench {
    loop {
        sitting.make_safe();
        match sitting.key() {
            "limits" => sitting.acknowledge(),
            key if key.ends_with(".clear") => sitting.say("clear"),
            _ => return sitting,
        };
    }
}

/// A trace of one sample a second, in amps.
fn trace(point: &str, values: impl IntoIterator<Item = f64>) -> Trace {
    let spans = values.into_iter().enumerate().map(|(n, value)| {
        let at_ms = n as u64 * 1_000;
        SampleSpan {
            from_ms: at_ms,
            until_ms: at_ms,
            count: 1,
            mean: value,
            low: value,
            low_ms: at_ms,
            high: value,
            high_ms: at_ms,
            last: value,
        }
    });
    Trace { point: point.to_owned(), unit: Unit::base(Dimension::CURRENT), spans: spans.collect() }
}

fn sampled(sitting: &RunAtBench, traces: Vec<Trace>) -> Event {
    Event::Sampled { key: sitting.key().into(), traces }
}

/// A sitting whose rail is up, at the watch.
fn soaking() -> RunAtBench {
    let mut sitting = RunAtBench::at_bench(&rails(SOAK), BENCH);
    up(&mut sitting).measure("20.01");
    assert_eq!((sitting.key(), sitting.wait_ms()), ("soak", 60_000));
    sitting
}

#[test]
fn a_step_for_hands_is_left_out_where_a_supply_is_connected() {
    let connected = RunAtBench::at_bench(&rails(""), BENCH);
    let by_hand = RunAtBench::new(&rails(""));
    assert_eq!(connected.key(), "make-safe.off");
    assert_eq!(by_hand.key(), "make-safe.off");
    let keys = |mut sitting: RunAtBench| {
        sitting.make_safe();
        sitting.key().to_owned()
    };
    assert_eq!(keys(by_hand), "limits");
    assert_eq!(keys(connected), "rails.clear");
}

#[test]
fn the_source_comes_up_on_the_outputs_that_the_stage_names() {
    let mut sitting = RunAtBench::at_bench(&rails(""), BENCH);
    up(&mut sitting);
    let setting = sitting.effects().iter().find_map(|effect| match effect {
        Effect::Energise(setting) => Some(setting.clone()),
        _ => None,
    });
    assert_eq!(setting.unwrap().outputs, ["plus"]);
    let mut by_hand = RunAtBench::new(&rails(""));
    up(&mut by_hand);
    let outputs = by_hand.effects().iter().find_map(|effect| match effect {
        Effect::Energise(setting) => Some(setting.outputs.clone()),
        _ => None,
    });
    assert_eq!(outputs.unwrap(), Vec::<String>::new());
}

#[test]
fn a_ramp_waits_for_its_start_and_takes_no_typed_value() {
    let mut sitting = RunAtBench::at_bench(&rails(""), BENCH);
    up(&mut sitting);
    assert_eq!(sitting.key(), "up");
    let ramp = by(&sitting).unwrap();
    assert!(matches!(&ramp, Way::Ramp { channels, over_ms: 10_000, .. } if channels == &["plus"]));
    assert_eq!(sitting.question().guards[0].point, Point::parse("plus.current"));
    sitting.say("20 V");
    assert!(matches!(sitting.facts(), [Fact::Refused { .. }]));
    sitting.measure("20.01");
    assert!(matches!(sitting.facts(), [Fact::Judged { origin: Origin::Instrument, .. }, ..]));
}

#[test]
fn an_instruments_reading_is_judged_like_any_other() {
    let mut sitting = RunAtBench::at_bench(&rails(""), BENCH);
    up(&mut sitting).measure("12.0");
    assert_eq!(sitting.effects().first(), Some(&Effect::OutputsOff));
    for text in ["9.9E37", "9.91E37"] {
        let mut sitting = RunAtBench::at_bench(&rails(""), BENCH);
        up(&mut sitting).measure(text);
        assert_eq!(sitting.effects().first(), Some(&Effect::OutputsOff), "{text}");
    }
    let mut sitting = RunAtBench::at_bench(&rails(""), BENCH);
    up(&mut sitting).measure("12,345");
    assert!(matches!(sitting.facts(), [Fact::Refused { .. }]), "never quietly a number");
}

#[test]
fn a_proof_of_dead_on_real_equipment_is_never_an_instruments_word() {
    let mut sitting = RunAtBench::at_bench(&rails(""), BENCH);
    sitting.say("off").sit_out();
    assert_eq!((sitting.key(), by(&sitting)), ("dead.before", None));
    sitting.measure("9.1");
    assert!(sitting.refusal().is_some());
    assert_eq!(sitting.key(), "dead.before");
}

#[test]
fn what_an_instrument_sends_is_in_base_units() {
    let step = "- step: idle\n  read: {what: Current, unit: mA, from: plus.current, window: {at_most: 80 mA}}";
    let mut sitting = RunAtBench::at_bench(&rails(step), BENCH);
    up(&mut sitting).measure("20.01").measure("0.0412");
    let Some(Fact::Judged { reading: Reading::Number(value), .. }) = sitting.facts().first() else {
        panic!("{:?}", sitting.facts());
    };
    assert_eq!(value.engineering(3, None), "41.2 mA");
    let mut sitting = RunAtBench::at_bench(&rails(step), BENCH);
    // 41 in the step's unit would be inside; it is 41 amps, and an instrument slips no prefix.
    up(&mut sitting).measure("20.01").measure("41");
    assert_eq!(sitting.effects().first(), Some(&Effect::OutputsOff));
}

#[test]
fn points_are_guarded_while_time_passes_and_what_is_watched_with_them() {
    let sitting = soaking();
    let guards = sitting.effects().iter().find_map(|effect| match effect {
        Effect::Wait { question, .. } => Some((question.guards.clone(), question.presence)),
        _ => None,
    });
    let (guards, presence) = guards.unwrap();
    // The window of the watch is narrower than that of the stage: it is the one that counts.
    assert_eq!(guards.len(), 1);
    let limit = guards[0].bounds.high.unwrap().to_f64();
    assert!((limit - 0.08).abs() < 1e-9, "{limit}");
    assert_eq!(presence, None, "a supply has its limits; the mains has none");
}

#[test]
fn a_watch_ends_in_its_last_value_and_in_how_steady_it_was() {
    let mut sitting = soaking();
    let values = (0..=60).map(|n| 0.050 + f64::from(n) * 0.000_01);
    let event = sampled(&sitting, vec![trace("plus.current", values)]);
    sitting.event(event);
    assert!(matches!(
        sitting.facts(),
        [Fact::Watched { count: 61, origin: Origin::Instrument, .. }]
    ));
    assert_eq!(sitting.key(), "soak");
    sitting.sit_out();
    let judged: Vec<_> = sitting
        .facts()
        .iter()
        .filter_map(|fact| match fact {
            Fact::Judged { key, text, .. } => Some((key.as_str(), text.as_str())),
            _ => None,
        })
        .collect();
    assert_eq!(
        judged.iter().map(|(key, _)| *key).collect::<Vec<_>>(),
        ["soak.drift", "soak.settled", "soak"]
    );
    assert_eq!(judged[2].1, "50.6 mA");
    // Nothing moves on by itself while the equipment is live.
    assert_eq!((sitting.key(), &sitting.question().expects), ("soak.over", &Expects::Done));
    sitting.acknowledge();
    assert_eq!(sitting.key(), "after");
}

#[test]
fn a_value_that_still_drifts_stops_the_run_inside_its_window() {
    let mut sitting = soaking();
    let values = (0..=60).map(|n| 0.040 + f64::from(n) * 0.000_2);
    let event = sampled(&sitting, vec![trace("plus.current", values)]);
    sitting.event(event).sit_out();
    assert_eq!(sitting.effects().first(), Some(&Effect::OutputsOff));
    assert!(sitting.facts().iter().any(|fact| matches!(
        fact,
        Fact::Stopped { key: Some(key), reason: StopReason::Outside } if key == "soak.drift"
    )));
}

#[test]
fn a_watch_without_a_sample_is_never_inside() {
    let mut sitting = soaking();
    sitting.sit_out();
    assert_eq!(sitting.effects().first(), Some(&Effect::OutputsOff));
}

#[test]
fn a_watch_with_fewer_samples_than_a_person_would_take_is_never_inside() {
    for (samples, is_inside) in [(1, false), (2, true)] {
        let steps = SOAK.replace("steady: {drift_per_minute: 5 mA, within: 4 mA, over: 30 s}", "");
        let mut sitting =
            RunAtBench::at_bench(&rails(&steps.replace("},\n          }", "}}")), BENCH);
        up(&mut sitting).measure("20.01");
        let event = sampled(&sitting, vec![trace("plus.current", vec![0.05; samples])]);
        sitting.event(event).sit_out();
        let is_off = sitting.effects().first() == Some(&Effect::OutputsOff);
        assert_eq!(is_off, !is_inside, "{samples}");
    }
}

#[test]
fn a_watch_cut_in_two_is_one_watch() {
    let mut sitting = soaking();
    let key = sitting.key().to_owned();
    let first = sampled(&sitting, vec![trace("plus.current", [0.05; 30])]);
    sitting.event(first).event(Event::Present { key: key.into(), origin: Origin::Typed });
    let mut second = trace("plus.current", [0.05; 31]);
    for span in &mut second.spans {
        span.from_ms += 30_000;
        span.until_ms += 30_000;
    }
    let second = sampled(&sitting, vec![second]);
    sitting.event(second).sit_out();
    assert!(
        !sitting.facts().iter().any(|fact| matches!(fact, Fact::Stopped { .. })),
        "{:?}",
        sitting.facts()
    );
}

#[test]
fn after_a_trip_the_person_decides() {
    let mut sitting = soaking();
    sitting.event(Event::Tripped {
        instrument: "supply".to_owned(),
        reason: Box::new(TripCause::Said("over".to_owned())),
    });
    assert_eq!(sitting.effects().first(), Some(&Effect::OutputsOff));
    sitting.make_safe();
    assert_eq!(sitting.key(), "what-next");
}

const MAINS: &str = "
presence_every: 5 min
stages:
  - stage: direct
    title: Mains
    source: mains
    ceiling: {voltage: 230 V, current: 1 A}
    steps:
      - step: \"on\"
        set: {what: Switch on, power: \"on\"}
      - step: soak
        wait: {what: Soak, time: 30 min}
";

#[test]
fn on_the_mains_somebody_has_to_be_there() {
    let mut sitting = RunAtBench::new(&format!("{ONE_POINT}{MAINS}"));
    up(&mut sitting).acknowledge();
    let presence = sitting.effects().iter().find_map(|effect| match effect {
        Effect::Wait { question, .. } => question.presence,
        _ => None,
    });
    assert_eq!(presence, Some(Presence { every_ms: 300_000, grace_ms: 60_000 }));
    let key = sitting.key().to_owned();
    sitting.event(Event::Present { key: key.clone().into(), origin: Origin::Typed });
    assert!(matches!(sitting.facts(), [Fact::Present { .. }]));
    sitting.event(Event::Unattended { key: key.into(), ms: 360_000 });
    assert_eq!(sitting.effects().first(), Some(&Effect::OutputsOff));
    assert_eq!(sitting.key(), "make-safe.off");
}

#[test]
fn an_output_found_on_is_made_safe_before_anything_else() {
    let mut sitting = RunAtBench::at_bench(&rails(""), BENCH);
    let (instrument, output) = ("supply".to_owned(), "plus".to_owned());
    let set_to = Quantity::from_f64(12.0, Dimension::VOLTAGE);
    sitting.event(Event::FoundOn(OutputOn { instrument, output, set_to, came_on: false }));
    assert_eq!(sitting.effects().first(), Some(&Effect::OutputsOff));
    assert_eq!(sitting.key(), "make-safe.off");
    let stop = sitting.question().stop.clone().unwrap();
    let words =
        "ENERGY STATE UNKNOWN: check the supply. Output plus of supply was on, set to 12.0 V, when";
    assert!(stop.what.starts_with(words), "{}", stop.what);
    sitting.make_safe();
    assert_eq!(sitting.key(), "rails.clear");
}

#[test]
fn readings_of_a_simulated_bench_are_never_taken_for_real_ones() {
    let mut sitting = RunAtBench::rehearsing(&rails(""), BENCH);
    up(&mut sitting).measure("20.01");
    assert!(matches!(sitting.facts(), [Fact::Judged { origin: Origin::Simulated, .. }, ..]));
}

#[test]
fn a_bench_that_watches_nothing_is_told_what_has_to_stay_inside() {
    let told = |mut sitting: RunAtBench| {
        up(&mut sitting);
        let words = sitting.effects().iter().filter_map(|effect| match effect {
            Effect::Advise(advice) => Some(advice.words()),
            _ => None,
        });
        words.collect::<String>()
    };
    let by_hand = told(RunAtBench::new(&rails("")));
    assert!(
        by_hand.contains("NOT WATCHED on this bench: plus.current (at most 100 mA)"),
        "{by_hand}"
    );
    assert_eq!(told(RunAtBench::at_bench(&rails(""), BENCH)), "");
}
