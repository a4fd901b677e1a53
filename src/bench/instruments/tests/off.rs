//! Off: said, and measured.

use std::thread::sleep;
use std::time::{Duration, Instant};

use super::{FakeInstrument, Habit, bench, limits, reach, with};
use crate::bench::instruments::Instruments;
use crate::bench::{Bench, Off, OutputsOff};

/// What comes of switching off an output of an instrument with this habit, that was brought up.
fn outputs_off(habit: Habit) -> Result<OutputsOff, String> {
    let (_fake, mut instruments) = with(&[habit]);
    instruments.energise(&limits(&["plus"], 10.0)).unwrap();
    instruments.outputs_off().map_err(|unconfirmed| unconfirmed.lost().to_string())
}

/// Both outputs with nothing left at them.
fn fallen() -> OutputsOff {
    ["plus", "minus"].map(|name| (name.to_owned(), Off::Fallen)).to_vec()
}

#[test]
fn off_is_confirmed_only_when_the_instrument_says_so_and_nothing_is_delivered() {
    assert_eq!(outputs_off(Habit::Load(100.0)), Ok(fallen()));
    // An output that ignored off delivers nothing without a load.
    let stays = outputs_off(Habit::Leaves(10.0, 0.0)).unwrap_err();
    assert!(stays.contains("says it is off and delivers nothing, but 10 V stay"), "{stays}");
    let live = outputs_off(Habit::Leaves(9.0, 0.05)).unwrap_err();
    assert!(live.contains("says it is off, but still has 9 V and delivers 0.05 A"), "{live}");
}

#[test]
fn nothing_comes_on_while_off_is_still_sent_again_and_again() {
    let (fake, mut instruments) = with(&[Habit::Leaves(9.0, 0.05)]);
    instruments.energise(&limits(&["plus"], 10.0)).unwrap();
    instruments.outputs_off().unwrap_err();
    let before = fake.heard().iter().filter(|heard| heard.ends_with("OUTP ON")).count();
    let refused = instruments.energise(&limits(&["minus"], 10.0)).unwrap_err();
    assert_eq!(refused.why, "its outputs are not confirmed to be off");
    let after = fake.heard().iter().filter(|heard| heard.ends_with("OUTP ON")).count();
    assert_eq!(before, after);
}

#[test]
fn charge_of_the_equipment_is_told_as_such_while_it_falls_and_is_no_confirmation() {
    let off = outputs_off(Habit::Falls(9.0)).unwrap();
    let (Off::Falling(voltage), Off::Fallen) = (off[0].1, off[1].1) else { panic!("{off:?}") };
    assert!(voltage > 7.0 && voltage < 9.0, "{off:?}");
    // What is nearly gone is waited for.
    assert_eq!(outputs_off(Habit::Falls(0.51)), Ok(fallen()));
}

#[test]
fn zero_is_set_at_an_output_whose_voltage_stays() {
    let (fake, mut instruments) = with(&[Habit::Leaves(10.0, 0.0)]);
    instruments.energise(&limits(&["plus"], 10.0)).unwrap();
    let unconfirmed = instruments.outputs_off().unwrap_err();
    assert!(!unconfirmed.0[0].is_on && unconfirmed.0[0].outputs == ["plus"], "{unconfirmed:?}");
    assert!(unconfirmed.0[0].order().starts_with("PULL THE PLUG of osprey"), "{unconfirmed:?}");
    assert!(fake.hears("INST:NSEL 1;:VOLT 0") && fake.hears("INST:NSEL 1;:CURR 0"));
}

/// What comes of switching off, in words, looked at until it is confirmed or this time is over.
fn off_within(instruments: &mut Instruments, time: Duration) -> Result<Duration, String> {
    let began = Instant::now();
    loop {
        match instruments.outputs_off() {
            Ok(_) => return Ok(began.elapsed()),
            Err(still) if began.elapsed() > time => return Err(still.lost().to_string()),
            Err(_) => sleep(Duration::from_millis(100)),
        }
    }
}

#[test]
fn an_output_whose_word_was_false_is_not_off_because_its_voltage_is_gone() {
    // The second draws so much that zero volts were there without zero being set.
    for (load, at_first) in [(1e4, "10 V stay at its terminals"), (1e2, "still has 10 V and")] {
        let (fake, mut instruments) = with(&[Habit::FeignsOff, Habit::Load(load)]);
        instruments.energise(&limits(&["plus"], 10.0)).unwrap();
        fake.turn(10.0, 0.1);
        let stays = instruments.outputs_off().unwrap_err().lost().why;
        assert!(stays.contains(at_first), "{stays}");
        assert!(fake.hears("INST:NSEL 1;:VOLT 0"));
        let still = off_within(&mut instruments, Duration::from_secs(5)).unwrap_err();
        assert!(still.contains("said that it was off while it was live"), "{still}");
    }
}

#[test]
fn an_output_that_ignored_off_and_said_so_is_off_once_it_stayed_off_for_a_while() {
    let (fake, mut instruments) = with(&[Habit::Ignores("OUTP OFF")]);
    instruments.energise(&limits(&["plus"], 10.0)).unwrap();
    let on = instruments.outputs_off().unwrap_err();
    assert!(on.0[0].is_on && on.lost().why.contains("says it is not off"), "{on:?}");
    fake.press(false);
    let not_yet = instruments.outputs_off().unwrap_err();
    assert!(not_yet.lost().why.contains("ignored off, and says now that it is off"), "{not_yet:?}");
    let after = off_within(&mut instruments, Duration::from_secs(10)).unwrap();
    assert!(after > Duration::from_millis(2_500), "{after:?}");
    // From then on its word is as good as any.
    assert!(instruments.outputs_off().is_ok());
}

#[test]
fn an_instrument_that_ignores_off_is_not_off() {
    let fake = FakeInstrument::start(&[Habit::BeginsOn, Habit::Ignores("OUTP OFF")]);
    let lost = super::connect(&fake).map(drop).unwrap_err();
    assert!(lost.why.contains("says it is not off; 0 V and 0 A were sent"), "{lost}");
}

#[test]
fn an_off_that_came_too_soon_is_sent_again() {
    let fake = FakeInstrument::start(&[Habit::BeginsOn, Habit::DropsFirst("NSEL 1;:OUTP OFF")]);
    assert!(super::connect(&fake).is_ok());
    let offs = fake.heard().iter().filter(|message| message.ends_with("NSEL 1;:OUTP OFF")).count();
    assert!(offs >= 2);
}

#[test]
fn a_bench_that_switches_nothing_says_so() {
    let fake = FakeInstrument::start(&[]);
    let text = "format: 1
bench: A bench for tests (invented)
instruments:
  osprey:
    what: meter
    serial: A1
    functions: {dc-voltage: [{range: 60 V, count: 10 mV, of_reading: 0.5 %}]}
    connection: {address: simulated://osprey}
";
    let bench = crate::procedure::read_bench(text).unwrap();
    let (mut instruments, _) = Instruments::connect(&bench, &reach(&fake)).unwrap();
    assert_eq!(instruments.outputs_off(), Ok(Vec::new()));
    assert_eq!(format!("{:?}", instruments.trip()), "TripHandle { of: [], fired: None }");
}

/// A mains switch that was switched on.
fn mains_switch(habits: &[Habit], keys: &str) -> (FakeInstrument, Instruments) {
    let fake = FakeInstrument::start(habits);
    let text = format!(
        "format: 1
bench: A bench for tests (invented)
instruments:
  osprey:
    what: mains switch
    serial: A1
    role: mains-switch
    connection: {{address: simulated://osprey{keys}}}
"
    );
    let bench = crate::procedure::read_bench(&text).unwrap();
    let (mut instruments, _) = Instruments::connect(&bench, &reach(&fake)).unwrap();
    instruments.energise(&limits(&["osprey"], 230.0)).unwrap();
    (fake, instruments)
}

#[test]
fn a_mains_switch_that_measures_behind_itself_is_off_when_nothing_is_left_there() {
    let keys = ", dialect: {measure_voltage: 'MEAS:VOLT?'}";
    let (_fake, mut instruments) = mains_switch(&[Habit::Leaves(0.4, 0.0)], keys);
    assert_eq!(instruments.switch_off(), Ok(vec![("osprey".to_owned(), Off::Fallen)]));
    let (_fake, mut instruments) = mains_switch(&[Habit::Leaves(231.0, 0.0)], keys);
    let unconfirmed = instruments.switch_off().unwrap_err();
    assert!(unconfirmed.0[0].order().starts_with("PULL THE PLUG of osprey"), "{unconfirmed:?}");
}

#[test]
fn a_mains_switch_is_on_or_off_and_sets_nothing() {
    let (fake, mut instruments) = mains_switch(&[], "");
    assert_eq!(instruments.switch_off(), Ok(vec![("osprey".to_owned(), Off::Said)]));
    let heard = fake.heard();
    assert!(heard.iter().any(|message| message == "OUTP ON"));
    assert!(!heard.iter().any(|message| message.contains("VOLT")), "{heard:?}");
}

#[test]
fn off_is_sent_when_the_instruments_are_dropped() {
    let fake = FakeInstrument::start(&[]);
    let (mut instruments, _) = Instruments::connect(&bench(""), &reach(&fake)).unwrap();
    instruments.energise(&limits(&["minus"], 5.0)).unwrap();
    drop(instruments);
    for _ in 0..200 {
        if fake.heard().last().is_some_and(|message| message == "OUTP OFF") {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    panic!("{:?}", fake.heard());
}

#[test]
fn the_trip_is_given_each_off_with_its_channel() {
    let (fake, instruments) = with(&[Habit::BeginsOn]);
    let trip = instruments.trip();
    let mut instruments = instruments;
    instruments.energise(&limits(&["minus"], 5.0)).unwrap();
    trip.fire("a test");
    for _ in 0..200 {
        let heard = fake.heard();
        if heard
            .ends_with(&["INST:NSEL 1;:OUTP OFF".to_owned(), "INST:NSEL 2;:OUTP OFF".to_owned()])
        {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    panic!("{:?}", fake.heard());
}
