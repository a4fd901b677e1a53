#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use std::collections::{BTreeMap, BTreeSet};

use chrono::DateTime;

use super::*;
use crate::netlist::PlacedFault;
use crate::procedure::{Procedure, read_procedure};
use crate::quantity::{Quantity, Reading, Unit};
use crate::record::{
    Ceiling, Diagnosed, Diagnosis, DiagnosisVerdict, Energy, Entry, Event, Fact, Key, Moment,
    Origin, PracticeResult, Reason, Source, StopReason, StoppedWhen,
};
use crate::window::{Bounds, Side, Verdict};

const PROCEDURE: &str = r#"
format: 1
procedure: practised
revision: 1
title: A practice to judge (invented)
run_by: technician
charge_points: {}
known_source: {what: "a fresh 9 V block", between: [8 V, 10 V]}
stages:
  - stage: cold
    title: Cold
    source: none
    steps: [{step: plug, do: Pull the plug}]
  - stage: low
    title: Low
    source: bench-supply
    steps:
      - {step: draw, do: Current}
      - {step: offset, do: Offset}
  - stage: high
    title: High
    source: bench-supply
    steps: [{step: gain, do: Gain}]
"#;

fn faults() -> Vec<PlacedFault> {
    let all = ["R1:open", "R1:short", "Q1:ce-short", "Q1:be-short", "Q1:b-open", "C1:leaky"];
    all.iter().map(|fault| fault.parse().unwrap()).collect()
}

fn drawn(seed: u64, repairs: &BTreeMap<String, u64>) -> Vec<Option<String>> {
    let draw = FaultDraw::among(&faults(), repairs, seed);
    draw.map(|fault| fault.map(|fault| fault.to_string())).collect()
}

#[test]
fn the_same_seed_draws_the_same_and_every_fault_comes_once() {
    let none = BTreeMap::new();
    assert_eq!(drawn(7, &none), drawn(7, &none));
    let orders: BTreeSet<_> = (0..20).map(|seed| drawn(seed, &none)).collect();
    assert!(orders.len() > 10, "{orders:?}");
    for order in orders {
        let found: Vec<_> = order.iter().flatten().collect();
        assert_eq!(found.len(), 6, "{order:?}");
        assert_eq!(found.into_iter().collect::<BTreeSet<_>>().len(), 6, "{order:?}");
    }
}

/// How many of so many seeds draw this part first.
fn share(part: &str, repairs: &BTreeMap<String, u64>) -> f64 {
    let first = (0..6000).map(|seed| FaultDraw::among(&faults(), repairs, seed).next().unwrap());
    let name = |fault: &DrawnFault| fault.as_ref().map_or("sound".to_owned(), |f| f.part.clone());
    first.filter(|fault| name(fault) == part).count() as f64 / 6000.0
}

#[test]
fn each_part_is_as_likely_and_a_repair_makes_one_likelier() {
    // Five deviations of a share of 6000 draws are 0.03 at the most.
    let none = BTreeMap::new();
    assert!((share("sound", &none) - 0.1).abs() < 0.03);
    for part in ["R1", "Q1", "C1"] {
        assert!((share(part, &none) - 0.3).abs() < 0.03, "{part}: however many faults it has");
    }
    let repairs = named(
        &faults(),
        &["Replaced C1, C10 and q1.".to_owned(), "C1 again".to_owned(), "R12".to_owned()],
    );
    assert_eq!(repairs, BTreeMap::from([("C1".to_owned(), 2), ("Q1".to_owned(), 1)]));
    assert!(
        (share("C1", &repairs) - 0.45).abs() < 0.03 && (share("R1", &repairs) - 0.15).abs() < 0.03
    );
}

#[test]
fn a_hidden_fault_is_found_again_and_no_other_passes_for_it() {
    let all = faults().into_iter().map(Some).chain([None]);
    for fault in all {
        let hidden = hidden(&fault, 0xfeed, 6, 0);
        assert_eq!(hidden.salt, "000000000000feed");
        assert_eq!(opened(&hidden, &faults()), Some(fault.clone()));
        let text = fault.as_ref().map(ToString::to_string);
        assert!(is_this(&hidden, text.as_deref()));
        assert!(!is_this(&hidden, Some("R9:open")), "{fault:?}");
        assert_eq!(opened(&hidden, &[]).is_some(), fault.is_none());
        // The same fault is another hash in another practice.
        assert_ne!(super::hidden(&fault, 1, 6, 0).sha256, hidden.sha256);
    }
}

/// A record in the making: a second goes by before each entry.
#[derive(Default)]
struct PracticeSoFar(Vec<Entry>);

impl PracticeSoFar {
    fn add(mut self, event: Event, facts: Vec<Fact>) -> Self {
        let elapsed_ms = 1000 * (self.0.len() as u64 + 1);
        let at = Moment { wall: DateTime::UNIX_EPOCH.fixed_offset(), elapsed_ms };
        self.0.push(Entry { at, by: "Kim Bench-Test".to_owned(), event, facts });
        self
    }

    fn entered(self, key: &str, facts: Vec<Fact>) -> Self {
        let (key, origin) = (key.into(), Origin::Typed);
        let event = Event::Entered { key, text: String::new(), origin, signature: None };
        self.add(event, facts)
    }

    fn on(self) -> Self {
        let ceiling = Ceiling {
            voltage: Quantity::parse("10 V").unwrap(),
            current: Quantity::parse("0.1 A").unwrap(),
        };
        let state = Energy::Energised { source: Source::BenchSupply, ceiling: Some(ceiling) };
        self.entered("plug", vec![]).entered("low.energise", vec![Fact::Energy { state }])
    }

    fn judged(self, key: &str, verdict: Verdict) -> Self {
        let judged = Fact::Judged {
            key: key.into(),
            what: String::new(),
            attempt: 1,
            text: "1".to_owned(),
            reading: Reading::OverRange,
            unit: Unit::parse("V").unwrap(),
            origin: Origin::Typed,
            bounds: Box::new(Bounds::record_only()),
            basis: None,
            verdict,
            decision: Box::default(),
        };
        let stopped = Fact::Stopped { key: Some(key.into()), reason: StopReason::Outside };
        let off = Fact::Energy { state: Energy::Isolated };
        let stop = verdict.is_outside().then_some([stopped, off]);
        self.entered(key, [judged].into_iter().chain(stop.into_iter().flatten()).collect())
    }

    fn halted(self, reason: Reason) -> Self {
        let stopped =
            Fact::Stopped { key: None, reason: StopReason::Halted { reason: reason.clone() } };
        let off = Fact::Energy { state: Energy::Isolated };
        self.add(Event::Halted { reason }, vec![stopped, off])
    }

    fn probed(self, key: &str, point: &str, value: Option<&str>) -> Self {
        let value = value.map(|value| Quantity::parse(value).unwrap());
        self.add(Event::Probed { key: key.into(), point: Some(point.to_owned()), value }, vec![])
    }

    fn result(&self, told: &Diagnosed) -> PracticeResult {
        judged(&Course::of(&procedure(), &self.0), told)
    }
}

fn procedure() -> Procedure {
    read_procedure(PROCEDURE).unwrap()
}

/// The end of a practice on a fault that shows at the offset and at the gain.
fn told() -> Diagnosed {
    Diagnosed {
        said: Diagnosis::NotKnown,
        fault: Some("Q1:ce-short".to_owned()),
        stop: Some("offset".into()),
        signs: vec!["offset".into(), "gain".into()],
        worst: None,
        is_alike: false,
    }
}

const OUTSIDE: Verdict = Verdict::Outside(Side::Above);

#[test]
fn stopped_in_time_is_where_the_procedure_stops_or_before() {
    let stopped = |made: PracticeSoFar| made.result(&told()).stopped;
    let on = || PracticeSoFar::default().on();
    assert_eq!(
        stopped(on().judged("draw", Verdict::Inside).judged("offset", OUTSIDE)),
        StoppedWhen::InTime
    );
    assert_eq!(stopped(on().judged("draw", OUTSIDE)), StoppedWhen::InTime, "before");
    let inside = on().judged("offset", Verdict::Inside);
    assert_eq!(stopped(inside), StoppedWhen::Late, "it was taken as good");
    let passed = on().judged("gain", OUTSIDE);
    assert_eq!(stopped(passed), StoppedWhen::Late, "a later step stopped it");
    let words = Reason::Words("it hums".to_owned());
    assert_eq!(stopped(on().halted(words.clone())), StoppedWhen::InTime, "by the person");
    assert_eq!(
        stopped(PracticeSoFar::default().halted(words)),
        StoppedWhen::Left,
        "nothing was on"
    );
    assert_eq!(stopped(on().halted(Reason::PersonLeft {})), StoppedWhen::Left);
    assert_eq!(stopped(on().judged("draw", Verdict::Inside)), StoppedWhen::Left);
}

#[test]
fn what_nothing_shows_and_what_is_sound_are_told_apart() {
    let unseen = Diagnosed { stop: None, signs: vec![], ..told() };
    let sound = Diagnosed { fault: None, ..unseen.clone() };
    let stopped = || PracticeSoFar::default().on().judged("offset", OUTSIDE);
    let held = || PracticeSoFar::default().on().judged("gain", Verdict::Inside);
    assert_eq!(held().result(&unseen).stopped, StoppedWhen::NoStepStops);
    assert_eq!(held().result(&sound).stopped, StoppedWhen::NothingWrong);
    assert_eq!(stopped().result(&sound).stopped, StoppedWhen::WithoutCause);
}

#[test]
fn a_sign_is_missed_where_it_was_passed() {
    let missed = |made: PracticeSoFar| -> Vec<String> {
        let result = made.result(&told());
        result.missed.iter().map(ToString::to_string).collect()
    };
    let on = || PracticeSoFar::default().on();
    assert!(missed(on().judged("offset", OUTSIDE)).is_empty());
    assert_eq!(missed(on().judged("offset", Verdict::Inside)), ["offset"]);
    assert_eq!(missed(on().judged("gain", OUTSIDE)), ["offset"], "it was not even read");
    let both = on().judged("offset", Verdict::Inside).judged("gain", Verdict::Inside);
    assert_eq!(missed(both), ["offset", "gain"]);
    let again = on().judged("offset", OUTSIDE).judged("offset", Verdict::Inside);
    assert_eq!(missed(again), ["offset"], "the second attempt was taken as good");
}

#[test]
fn a_point_is_needless_where_nothing_is_on_or_it_was_read_before_with_the_same_result() {
    let made = PracticeSoFar::default()
        .probed("plug", "out", None)
        .on()
        .probed("draw", "out", Some("1 V"))
        .probed("draw", "base", Some("1 V"))
        .probed("offset", "out", Some("1 V"))
        .probed("offset", "out", Some("2 V"))
        .probed("gain", "out", Some("1 V"));
    let result = made.result(&told());
    assert_eq!((result.read, result.needless), (6, 2), "nothing on, and out in the same stage");
}

#[test]
fn what_was_said_is_held_against_what_was_hidden() {
    let part = |name: &str, fault: Option<&str>| Diagnosis::Part {
        name: name.to_owned(),
        fault: fault.map(str::to_owned),
    };
    let verdict = |said: Diagnosis, is_alike: bool| {
        let told = Diagnosed { said, is_alike, ..told() };
        PracticeSoFar::default().result(&told).diagnosis
    };
    assert_eq!(verdict(part("q1", Some("ce-short")), true), DiagnosisVerdict::Right);
    assert_eq!(verdict(part("Q1", Some("be-short")), false), DiagnosisVerdict::PartRight);
    assert_eq!(verdict(part("Q1", None), false), DiagnosisVerdict::PartRight);
    assert_eq!(verdict(part("R1", Some("ce-short")), false), DiagnosisVerdict::Wrong);
    assert_eq!(verdict(part("R1", Some("open")), true), DiagnosisVerdict::CannotBeTold);
    assert_eq!(verdict(Diagnosis::Sound, false), DiagnosisVerdict::Wrong);
    assert_eq!(verdict(Diagnosis::NotKnown, false), DiagnosisVerdict::NotSaid);
    let sound = |said: Diagnosis| {
        let told = Diagnosed { said, fault: None, ..told() };
        PracticeSoFar::default().result(&told).diagnosis
    };
    assert_eq!(sound(Diagnosis::Sound), DiagnosisVerdict::Right);
    assert_eq!(sound(part("Q1", Some("ce-short"))), DiagnosisVerdict::Wrong);
}

#[test]
fn a_source_is_on_from_where_it_came_on_to_where_it_went_off() {
    let made = PracticeSoFar::default()
        .on()
        .judged("draw", Verdict::Inside)
        .probed("offset", "out", Some("1 V"))
        .judged("offset", OUTSIDE)
        .entered("make-safe.off", vec![])
        .entered("plug", vec![]);
    let procedure = procedure();
    let live = Course::of(&procedure, &made.0).live();
    let due = [StepTime { step: 1, seconds: 1.0 }, StepTime { step: 2, seconds: 2.0 }];
    assert_eq!(live, due);
    // A clock that goes back takes nothing away.
    let mut back = made.0;
    back.iter_mut().skip(4).for_each(|entry| entry.at.elapsed_ms = 0);
    let live = Course::of(&procedure, &back).live();
    assert!(live.iter().all(|time| time.seconds >= 0.0), "{live:?}");
}

#[test]
fn keys_of_the_run_itself_are_no_step() {
    let made = PracticeSoFar::default().entered("what-next", vec![]).entered("dead.before", vec![]);
    let told = Diagnosed { signs: vec![Key::from("draw")], ..told() };
    assert!(made.result(&told).missed.is_empty());
}
