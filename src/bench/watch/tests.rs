//! Watching with instruments that answer from a list, fail, or stand still.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use std::collections::VecDeque;
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use super::{Astray, Sampler, Sampling, run};
use crate::bench::trip::alone;
use crate::bench::{BenchClock, Go, Guard, Live, Lost, SamplingEnd, TripHandle, Watched, Work};
use crate::procedure::Point;
use crate::quantity::Quantity;
use crate::record::{Trace, TripCause};
use crate::window::Bounds;

type ReplyClosure = Box<dyn FnMut(&SampleQuery) -> Result<String, Lost> + Send>;

/// What an instrument knows of itself when it is asked.
struct SampleQuery {
    point: String,
    /// How many samples it has given before.
    before: usize,
    voltage: f64,
}

/// An instrument whose replies a closure gives.
struct ScriptedInstrument {
    name: &'static str,
    points: Vec<&'static str>,
    reply: ReplyClosure,
    samples: usize,
    voltage: f64,
    limits_from: usize,
    /// What its outputs are, each time they are asked; `None` where it has none.
    states: Option<VecDeque<Option<Astray>>>,
    /// Its last reply turns out to be that to another question.
    answers_another: bool,
    /// Everything it was told or asked, in order.
    log: Arc<Mutex<Vec<String>>>,
}

impl ScriptedInstrument {
    fn new(
        name: &'static str,
        points: &[&'static str],
        reply: impl FnMut(&SampleQuery) -> Result<String, Lost> + Send + 'static,
    ) -> Self {
        Self {
            name,
            points: points.to_vec(),
            reply: Box::new(reply),
            samples: 0,
            voltage: 0.0,
            limits_from: usize::MAX,
            states: None,
            answers_another: false,
            log: Arc::default(),
        }
    }

    fn steady(name: &'static str, points: &[&'static str]) -> Self {
        Self::new(name, points, |_| Ok("0.05".to_owned()))
    }
}

impl Sampler for ScriptedInstrument {
    fn name(&self) -> &str {
        self.name
    }

    fn reads(&self, point: &Point) -> bool {
        self.points.contains(&point.to_string().as_str())
    }

    fn feeds(&self, channel: &str) -> bool {
        self.points.iter().any(|point| point.starts_with(&format!("{channel}.")))
    }

    fn sample(&mut self, point: &Point) -> Result<String, Lost> {
        let asked =
            SampleQuery { point: point.to_string(), before: self.samples, voltage: self.voltage };
        self.samples += 1;
        self.log.lock().unwrap().push(asked.point.clone());
        thread::sleep(Duration::from_micros(20));
        (self.reply)(&asked)
    }

    fn voltage_set(&mut self, _: &str) -> Result<f64, Lost> {
        Ok(self.voltage)
    }

    fn set_voltage(&mut self, channel: &str, voltage: f64) -> Result<(), Lost> {
        self.voltage = voltage;
        self.log.lock().unwrap().push(format!("{channel}={voltage}"));
        Ok(())
    }

    fn is_limiting(&mut self, channel: &str) -> Result<bool, Lost> {
        self.log.lock().unwrap().push(format!("{channel}?"));
        Ok(self.samples >= self.limits_from)
    }

    fn has_outputs(&self) -> bool {
        self.states.is_some()
    }

    fn answered_another(&mut self) -> bool {
        self.answers_another
    }

    fn astray(&mut self, off_is_due: bool) -> Result<Option<Astray>, Lost> {
        let Some(states) = &mut self.states else { return Ok(None) };
        self.log.lock().unwrap().push(format!("states, off is due: {off_is_due}"));
        Ok(states.pop_front().flatten())
    }
}

fn guard(point: &str, high: &str) -> Guard {
    let bounds = Bounds::at_most(Quantity::parse(high).unwrap());
    Guard { point: Point::parse(point), bounds, limiting_is_outside: false }
}

fn lost(instrument: &str) -> Lost {
    Lost { instrument: instrument.to_owned(), why: "no reply".to_owned() }
}

/// Watches until an end comes by itself; one that never comes fails the test.
fn watch(fakes: Vec<ScriptedInstrument>, trip: &TripHandle, guards: &[Guard]) -> Watched {
    let begun = Instant::now();
    watch_at(1.0, fakes, trip, &Work::Hold, guards, &mut |_| {
        assert!(begun.elapsed() < Duration::from_secs(20), "it never ends");
        Go::On
    })
}

fn watch_at(
    speed: f64,
    mut fakes: Vec<ScriptedInstrument>,
    trip: &TripHandle,
    work: &Work,
    guards: &[Guard],
    look: &mut dyn FnMut(&Live) -> Go,
) -> Watched {
    let samplers = fakes.iter_mut().map(|fake| fake as &mut dyn Sampler).collect();
    let clock = BenchClock::default();
    clock.run_at(speed);
    run(Sampling { samplers, trip, clock: &clock }, work, guards, look)
}

fn counts(watched: &Watched) -> Vec<u64> {
    watched.traces.iter().map(Trace::count).collect()
}

#[test]
fn it_ends_as_asked_with_a_trace_for_each_guard_in_their_order() {
    let trip = TripHandle::default();
    let supply = ScriptedInstrument::new("supply", &["plus.voltage", "plus.current"], |asked| {
        Ok(if asked.point == "plus.current" { "0.05" } else { "24.0" }.to_owned())
    });
    let meter = ScriptedInstrument::new("meter", &["dc-voltage"], |_| Ok("1.5".to_owned()));
    let guards =
        [guard("plus.current", "60 mA"), guard("dc-voltage", "2 V"), guard("plus.voltage", "25 V")];
    let mut looks = Vec::new();
    let watched = watch_at(1.0, vec![meter, supply], &trip, &Work::Hold, &guards, &mut |live| {
        looks.push(live.clone());
        if looks.len() > 3 { Go::Enough } else { Go::On }
    });
    assert_eq!((&watched.end, trip.fires()), (&SamplingEnd::Asked, 0));
    let points: Vec<_> = watched.traces.iter().map(|trace| trace.point.as_str()).collect();
    assert_eq!(points, ["plus.current", "dc-voltage", "plus.voltage"]);
    let lasts: Vec<_> = watched.traces.iter().map(Trace::last).collect();
    assert_eq!(lasts, [Some(0.05), Some(1.5), Some(24.0)]);
    let units: Vec<_> = watched.traces.iter().map(|trace| trace.unit.symbol()).collect();
    assert_eq!(units, ["A", "V", "V"]);
    let last = looks.last().unwrap();
    assert_eq!(last.latest, lasts);
    assert!(last.arrived);
    // Four looks are three tenths of a second apart in all.
    assert!((280..2000).contains(&last.elapsed.as_millis()), "{:?}", last.elapsed);
}

#[test]
fn a_sample_outside_fires_before_anybody_is_told() {
    let trip = TripHandle::default();
    let supply = ScriptedInstrument::new("supply", &["plus.current"], |asked| {
        Ok(if asked.before == 40 { "0.0601" } else { "0.06" }.to_owned())
    });
    let guards = [guard("plus.current", "60 mA")];
    let look_trip = trip.clone();
    let mut told = None;
    let watched = watch_at(1.0, vec![supply], &trip, &Work::Hold, &guards, &mut |live| {
        // Nobody looks while the sample comes: the trip does not wait for it.
        let begun = Instant::now();
        while !look_trip.has_fired() {
            assert!(begun.elapsed() < Duration::from_secs(5), "it waits for the look");
        }
        told = live.latest.first().copied();
        Go::Enough
    });
    assert_eq!(told, Some(None));
    let reason = "plus.current: 60.1 mA is outside its window (at most 60 mA)".to_owned();
    assert_eq!(trip.fired().unwrap().reason, reason);
    let SamplingEnd::Tripped { instrument, reason: told } = &watched.end else { panic!("no trip") };
    assert_eq!((instrument.as_str(), told.to_string()), ("supply", reason));
    // The one that tripped is kept with those before it.
    assert_eq!(counts(&watched), [41]);
    let trace = watched.traces.first().unwrap();
    assert_eq!((trace.max(), trace.last()), (Some(0.0601), Some(0.0601)));
}

#[test]
fn a_sample_outside_that_answered_another_question_switches_off_and_is_no_value() {
    let trip = TripHandle::default();
    let mut supply = ScriptedInstrument::new("supply", &["plus.current"], |asked| {
        Ok(if asked.before == 40 { "12.0" } else { "0.05" }.to_owned())
    });
    supply.answers_another = true;
    let watched = watch(vec![supply], &trip, &[guard("plus.current", "60 mA")]);
    let why = "its reply was not the answer to the question for plus.current".to_owned();
    assert_eq!(watched.end, SamplingEnd::Lost(Lost { instrument: "supply".to_owned(), why }));
    assert!(trip.fired().unwrap().reason.contains("12 A is outside"));
    assert_eq!(counts(&watched), [40]);
}

#[test]
fn what_is_no_number_fires() {
    for reply in ["9.91E37", "NAN", "9.9E37", "", "12,345", "OK", "-1e99 V", "0.05 0.05"] {
        let trip = TripHandle::default();
        let supply = ScriptedInstrument::new("supply", &["plus.current"], move |asked| {
            Ok(if asked.before == 9 { reply } else { "0.05" }.to_owned())
        });
        let watched = watch(vec![supply], &trip, &[guard("plus.current", "60 mA")]);
        assert!(matches!(watched.end, SamplingEnd::Tripped { .. }), "{reply:?}: {:?}", watched.end);
        assert_eq!((trip.fires(), counts(&watched)), (1, vec![9]), "{reply:?}");
    }
}

#[test]
fn a_lost_instrument_fires_and_ends_the_sampling_of_all_others() {
    let trip = TripHandle::default();
    let supply = ScriptedInstrument::steady("supply", &["plus.current"]);
    let meter = ScriptedInstrument::new("meter", &["dc-voltage"], |asked| match asked.before {
        0..30 => Ok("1".to_owned()),
        _ => Err(lost("meter")),
    });
    let guards = [guard("plus.current", "60 mA"), guard("dc-voltage", "2 V")];
    let watched = watch(vec![supply, meter], &trip, &guards);
    assert_eq!(watched.end, SamplingEnd::Lost(lost("meter")));
    assert_eq!(trip.fired().unwrap().reason, "meter: no reply");
    assert_eq!(watched.traces.get(1).unwrap().count(), 30);
}

#[test]
fn a_panic_in_a_sampling_thread_fires() {
    let _alone = alone();
    let trip = TripHandle::default();
    let supply = ScriptedInstrument::steady("supply", &["plus.current"]);
    let meter = ScriptedInstrument::new("meter", &["dc-voltage"], |asked| match asked.before {
        0..5 => Ok("1".to_owned()),
        _ => panic!("on purpose"),
    });
    let guards = [guard("plus.current", "60 mA"), guard("dc-voltage", "2 V")];
    let watched = watch(vec![supply, meter], &trip, &guards);
    let why = "the program failed while it was watched".to_owned();
    assert_eq!(watched.end, SamplingEnd::Lost(Lost { instrument: "meter".to_owned(), why }));
    assert!(trip.has_fired());
    assert_eq!(watched.traces.get(1).unwrap().count(), 5);
}

#[test]
fn a_panic_in_a_look_fires_and_leaves_nobody_sampling() {
    let _alone = alone();
    let trip = TripHandle::default();
    let supply = ScriptedInstrument::steady("supply", &["plus.current"]);
    let guards = [guard("plus.current", "60 mA")];
    let panicked = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
        watch_at(1.0, vec![supply], &trip, &Work::Hold, &guards, &mut |_| panic!("on purpose"))
    }));
    assert!(panicked.is_err() && trip.has_fired());
}

#[test]
fn a_trip_fired_from_elsewhere_ends_it() {
    let trip = TripHandle::default();
    let supply = ScriptedInstrument::steady("supply", &["plus.current"]);
    let guards = [guard("plus.current", "60 mA")];
    let (from_elsewhere, mut fire) = (trip.clone(), true);
    let watched = watch_at(1.0, vec![supply], &trip, &Work::Hold, &guards, &mut |_| {
        if std::mem::take(&mut fire) {
            from_elsewhere.fire("SIGTERM");
        }
        Go::On
    });
    assert_eq!(watched.end, SamplingEnd::Fired { reason: "SIGTERM".to_owned() });
    // A line that was cut into by it is no lost instrument.
    let trip = TripHandle::default();
    let from_elsewhere = trip.clone();
    let supply = ScriptedInstrument::new("supply", &["plus.current"], move |_| {
        from_elsewhere.fire("SIGTERM");
        Err(lost("supply"))
    });
    let watched = watch(vec![supply], &trip, &guards);
    assert_eq!(watched.end, SamplingEnd::Fired { reason: "SIGTERM".to_owned() });
}

#[test]
fn a_supply_that_limits_is_outside_where_that_is_asked_for() {
    for asked_for in [true, false] {
        let trip = TripHandle::default();
        let mut supply = ScriptedInstrument::steady("supply", &["plus.current", "plus.voltage"]);
        supply.limits_from = 20;
        let log = Arc::clone(&supply.log);
        let mut guards = [guard("plus.current", "60 mA"), guard("plus.voltage", "25 V")];
        guards.iter_mut().for_each(|guard| guard.limiting_is_outside = asked_for);
        let watched = watch_at(1.0, vec![supply], &trip, &Work::Hold, &guards, &mut |live| {
            if live.elapsed > Duration::from_millis(250) { Go::Enough } else { Go::On }
        });
        let reason = TripCause::Limiting { output: "plus".to_owned() };
        let tripped = SamplingEnd::Tripped { instrument: "supply".to_owned(), reason };
        assert_eq!(watched.end, if asked_for { tripped } else { SamplingEnd::Asked });
        assert_eq!(trip.has_fired(), asked_for);
        // Once in a round, however many points of the output are guarded.
        let asked = log.lock().unwrap().iter().filter(|line| *line == "plus?").count();
        assert_eq!(asked, if asked_for { 10 } else { 0 });
    }
}

#[test]
fn a_ramp_takes_small_even_steps_together_with_every_point_sampled_between() {
    let trip = TripHandle::default();
    let mut supply = ScriptedInstrument::new("supply", &["plus.current", "minus.current"], |_| {
        Ok("0.05".to_owned())
    });
    supply.voltage = 4.0;
    let log = Arc::clone(&supply.log);
    let guards = [guard("plus.current", "60 mA"), guard("minus.current", "60 mA")];
    let channels = ["plus", "minus"].map(str::to_owned).to_vec();
    let work = Work::Ramp { channels, to: 24.0, over: Duration::from_secs(30) };
    let mut arrived_at = None;
    let watched = watch_at(60.0, vec![supply], &trip, &work, &guards, &mut |live| {
        arrived_at = live.arrived.then_some(live.elapsed);
        if live.arrived { Go::Enough } else { Go::On }
    });
    assert_eq!(watched.end, SamplingEnd::Asked);
    let arrived_at = arrived_at.unwrap().as_secs_f64();
    assert!((30.0..40.0).contains(&arrived_at), "{arrived_at}");
    let log = log.lock().unwrap().clone();
    let is_set = |line: &&String| line.contains('=');
    assert_eq!(log.iter().filter(is_set).count(), 800);
    let volts = |line: &String| line.split('=').nth(1).and_then(|v| v.parse::<f64>().ok()).unwrap();
    let plus: Vec<_> = log.iter().filter(|line| line.starts_with("plus=")).map(volts).collect();
    assert_eq!((plus.first(), plus.last()), (Some(&4.05), Some(&24.0)));
    let mut from = 4.0;
    for volts in plus {
        assert!((volts - from - 0.05).abs() < 1e-9, "from {from} to {volts}");
        from = volts;
    }
    // Between two steps and after the last one, every point is sampled.
    let rounds: Vec<_> = log.split(|line| line.starts_with("plus=")).skip(1).collect();
    for round in rounds {
        let others = ["minus=", "plus.current", "minus.current"];
        assert!(
            others.iter().all(|other| round.iter().any(|line| line.starts_with(other))),
            "{round:?}"
        );
        assert!(round.first().unwrap().starts_with("minus="), "{round:?}");
    }
}

#[test]
fn a_ramp_stops_where_a_sample_is_outside() {
    let trip = TripHandle::default();
    let supply = ScriptedInstrument::new("supply", &["plus.current"], |asked| {
        Ok(format!("{}", if asked.voltage > 9.0 { 1.0 } else { 0.01 }))
    });
    let log = Arc::clone(&supply.log);
    let work = Work::Ramp {
        channels: vec!["plus".to_owned()],
        to: 30.0,
        over: Duration::from_millis(200),
    };
    let guards = [guard("plus.current", "60 mA")];
    let watched = watch_at(1.0, vec![supply], &trip, &work, &guards, &mut |_| Go::On);
    assert!(matches!(watched.end, SamplingEnd::Tripped { .. }), "{:?}", watched.end);
    let highest = log.lock().unwrap().iter().rfind(|line| line.contains('=')).cloned().unwrap();
    assert!(highest.starts_with("plus=9.07"), "{highest}");
}

#[test]
fn a_point_or_an_output_without_an_instrument_fires() {
    let work = Work::Ramp { channels: vec!["other".to_owned()], to: 1.0, over: Duration::ZERO };
    for (guards, work) in [
        (vec![guard("dc-voltage", "2 V")], Work::Hold),
        (vec![guard("plus.current", "2 V")], Work::Hold),
        (vec![guard("plus.current", "2 A")], work),
    ] {
        let trip = TripHandle::default();
        let supply = ScriptedInstrument::steady("supply", &["plus.current"]);
        let watched = watch_at(1.0, vec![supply], &trip, &work, &guards, &mut |_| Go::On);
        assert!(matches!(watched.end, SamplingEnd::Lost(_)), "{:?}", watched.end);
        assert!(trip.has_fired());
        assert_eq!(counts(&watched), [0]);
    }
}

/// The output of a supply, at each time it is asked for its state.
fn states(of: &[Option<Astray>]) -> (ScriptedInstrument, Arc<Mutex<Vec<String>>>) {
    let mut supply = ScriptedInstrument::steady("supply", &["plus.current"]);
    supply.states = Some(of.iter().cloned().collect());
    let log = Arc::clone(&supply.log);
    (supply, log)
}

fn times_asked(log: &Mutex<Vec<String>>) -> usize {
    log.lock().unwrap().iter().filter(|line| line.starts_with("states")).count()
}

#[test]
fn an_output_that_is_not_as_it_was_left_fires_at_the_beginning_a_second_later_and_at_the_end() {
    let on = Astray::FoundOn("plus".to_owned());
    let off = Astray::WentOff("plus".to_owned());
    let found_on =
        SamplingEnd::FoundOn { instrument: "supply".to_owned(), output: "plus".to_owned() };
    let reason = TripCause::WentOff { output: "plus".to_owned() };
    let went_off = SamplingEnd::Tripped { instrument: "supply".to_owned(), reason };
    for guards in [vec![], vec![guard("plus.current", "60 mA")]] {
        for (astray, end) in [(&on, &found_on), (&off, &went_off)] {
            for before in 0..2 {
                let trip = TripHandle::default();
                let all = [vec![None; before], vec![Some(astray.clone())]].concat();
                let (supply, log) = states(&all);
                let begun = Instant::now();
                let watched = watch(vec![supply], &trip, &guards);
                assert_eq!((&watched.end, trip.fires()), (end, 1));
                assert_eq!(times_asked(&log), before + 1);
                let least = Duration::from_secs(before as u64);
                let most = least + Duration::from_millis(900);
                assert!((least..most).contains(&begun.elapsed()), "{:?}", begun.elapsed());
            }
            // Seen enough at once: it is asked once more, behind all that was seen.
            let trip = TripHandle::default();
            let (supply, log) = states(&[None, Some(astray.clone())]);
            let stand = Work::Stand { off_is_due: false };
            let watched = watch_at(1.0, vec![supply], &trip, &stand, &guards, &mut |_| Go::Enough);
            assert_eq!((&watched.end, trip.fires()), (end, 1));
            assert!(log.lock().unwrap().last().is_some_and(|last| last.starts_with("states")));
        }
    }
}

#[test]
fn states_are_asked_once_a_second_while_everything_else_is_sampled_as_often_as_it_can_be() {
    let trip = TripHandle::default();
    let (supply, log) = states(&[]);
    let watched = watch_at(
        1.0,
        vec![supply],
        &trip,
        &Work::Hold,
        &[guard("plus.current", "60 mA")],
        &mut |live| if live.elapsed > Duration::from_millis(1500) { Go::Enough } else { Go::On },
    );
    assert_eq!(watched.end, SamplingEnd::Asked);
    assert_eq!(times_asked(&log), 3, "at the beginning, after a second, at the end");
    assert!(counts(&watched) > vec![100], "{:?}", counts(&watched));
}

#[test]
fn a_trip_fired_from_elsewhere_is_not_told_as_an_output_that_went_off() {
    let trip = TripHandle::default();
    let (supply, _) = states(&[Some(Astray::WentOff("plus".to_owned()))]);
    trip.fire("SIGTERM");
    let watched = watch(vec![supply], &trip, &[]);
    assert_eq!(watched.end, SamplingEnd::Fired { reason: "SIGTERM".to_owned() });
}

#[test]
fn while_a_question_stands_it_is_sampled_with_pauses_and_told_where_off_is_due() {
    for off_is_due in [false, true] {
        let trip = TripHandle::default();
        let (supply, log) = states(&[]);
        let stand = Work::Stand { off_is_due };
        let guards = [guard("plus.current", "60 mA")];
        let watched = watch_at(1.0, vec![supply], &trip, &stand, &guards, &mut |live| {
            if live.elapsed > Duration::from_millis(300) { Go::Enough } else { Go::On }
        });
        assert_eq!(watched.end, SamplingEnd::Asked);
        let count = watched.traces.first().unwrap().count();
        assert!((2..50).contains(&count), "{count}");
        let words = format!("states, off is due: {off_is_due}");
        assert_eq!(log.lock().unwrap().iter().filter(|line| **line == words).count(), 2);
    }
}

#[test]
fn one_look_asks_for_the_states_once() {
    let trip = TripHandle::default();
    let (supply, log) = states(&[]);
    let stand = Work::Glance { off_is_due: false };
    let watched = watch_at(1.0, vec![supply], &trip, &stand, &[], &mut |_| Go::Enough);
    assert_eq!((watched.end, times_asked(&log)), (SamplingEnd::Asked, 1));
}

#[test]
fn what_a_signal_switched_off_is_no_fault_of_what_is_measured() {
    let trip = TripHandle::default();
    let fired = trip.clone();
    // The signal comes while the sample is taken, and the voltage is gone when it is.
    let meter = ScriptedInstrument::new("meter", &["dc-voltage"], move |asked| {
        if asked.before == 3 {
            fired.fire("SIGINT");
            return Ok("900".to_owned());
        }
        Ok("5".to_owned())
    });
    let watched = watch(vec![meter], &trip, &[guard("dc-voltage", "12 V")]);
    assert_eq!(watched.end, SamplingEnd::Fired { reason: "SIGINT".to_owned() });
}
