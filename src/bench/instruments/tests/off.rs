//! Off: said, and measured.

use super::{Fake, Habit, bench, limits, reach, with};
use crate::bench::instruments::{Instruments, Off};
use crate::bench::{Bench, OutputsOff};

/// What comes of switching off an output of an instrument with this habit, that was brought up.
fn outputs_off(habit: Habit) -> Result<OutputsOff, String> {
    let (_fake, mut own) = with(&[habit]);
    own.energise(&limits(&["plus"], 10.0)).unwrap();
    own.outputs_off().map_err(|unconfirmed| unconfirmed.lost().to_string())
}

#[test]
fn off_is_confirmed_only_when_the_instrument_says_so_and_nothing_is_delivered() {
    assert_eq!(outputs_off(Habit::Load(100.0)), Ok(OutputsOff::Confirmed));
    // An output that ignored off delivers nothing without a load.
    let stays = outputs_off(Habit::Leaves(10.0, 0.0)).unwrap_err();
    assert!(stays.contains("says it is off and delivers nothing, but 10 V stay"), "{stays}");
    let live = outputs_off(Habit::Leaves(9.0, 0.05)).unwrap_err();
    assert!(live.contains("says it is off, but still has 9 V and delivers 0.05 A"), "{live}");
}

#[test]
fn nothing_comes_on_while_off_is_still_sent_again_and_again() {
    let (fake, mut own) = with(&[Habit::Leaves(9.0, 0.05)]);
    own.energise(&limits(&["plus"], 10.0)).unwrap();
    own.outputs_off().unwrap_err();
    let before = fake.heard().iter().filter(|heard| heard.ends_with("OUTP ON")).count();
    let refused = own.energise(&limits(&["minus"], 10.0)).unwrap_err();
    assert_eq!(refused.why, "its outputs are not confirmed to be off");
    let after = fake.heard().iter().filter(|heard| heard.ends_with("OUTP ON")).count();
    assert_eq!(before, after);
}

#[test]
fn charge_of_the_equipment_is_told_as_such_while_it_falls_and_is_no_confirmation() {
    let Ok(OutputsOff::Falling(falling)) = outputs_off(Habit::Falls(9.0)) else {
        panic!("not told")
    };
    assert!(falling.len() == 1 && falling[0].0 == "plus", "{falling:?}");
    assert!(falling[0].1 > 7.0 && falling[0].1 < 9.0, "{falling:?}");
    // What is nearly gone is waited for.
    assert_eq!(outputs_off(Habit::Falls(0.51)), Ok(OutputsOff::Confirmed));
}

#[test]
fn nought_is_set_at_an_output_whose_voltage_stays() {
    let (fake, mut own) = with(&[Habit::Leaves(10.0, 0.0)]);
    own.energise(&limits(&["plus"], 10.0)).unwrap();
    let unconfirmed = own.outputs_off().unwrap_err();
    assert!(!unconfirmed.0[0].is_on && unconfirmed.0[0].outputs == ["plus"], "{unconfirmed:?}");
    assert!(unconfirmed.0[0].order().starts_with("PULL THE PLUG of osprey"), "{unconfirmed:?}");
    assert!(fake.hears("INST:NSEL 1;:VOLT 0") && fake.hears("INST:NSEL 1;:CURR 0"));
}

#[test]
fn an_instrument_that_ignores_off_is_not_off() {
    let fake = Fake::start(&[Habit::BeginsOn, Habit::Ignores("OUTP OFF")]);
    let lost = super::connect(&fake).map(drop).unwrap_err();
    assert!(lost.why.contains("says it is not off; 0 V and 0 A were sent"), "{lost}");
}

#[test]
fn an_off_that_came_too_soon_is_sent_again() {
    let fake = Fake::start(&[Habit::BeginsOn, Habit::DropsFirst("NSEL 1;:OUTP OFF")]);
    assert!(super::connect(&fake).is_ok());
    let offs = fake.heard().iter().filter(|message| message.ends_with("NSEL 1;:OUTP OFF")).count();
    assert!(offs >= 2);
}

#[test]
fn a_bench_that_switches_nothing_says_so() {
    let fake = Fake::start(&[]);
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
    let (mut own, _) = Instruments::connect(&bench, &reach(&fake)).unwrap();
    assert_eq!(own.outputs_off(), Ok(OutputsOff::OutOfReach));
    assert_eq!(format!("{:?}", own.trip()), "TripHandle { of: [], fired: None }");
}

#[test]
fn a_mains_switch_is_on_or_off_and_sets_nothing() {
    let fake = Fake::start(&[]);
    let text = "format: 1
bench: A bench for tests (invented)
instruments:
  osprey:
    what: mains switch
    serial: A1
    role: mains-switch
    connection: {address: simulated://osprey}
";
    let bench = crate::procedure::read_bench(text).unwrap();
    let (mut own, _) = Instruments::connect(&bench, &reach(&fake)).unwrap();
    own.energise(&limits(&["osprey"], 230.0)).unwrap();
    assert_eq!(own.switch_off(), Ok(vec![("osprey".to_owned(), Off::Said)]));
    let heard = fake.heard();
    assert!(heard.iter().any(|message| message == "OUTP ON"));
    assert!(!heard.iter().any(|message| message.contains("VOLT")), "{heard:?}");
}

#[test]
fn off_is_sent_when_the_instruments_are_dropped() {
    let fake = Fake::start(&[]);
    let (mut own, _) = Instruments::connect(&bench(""), &reach(&fake)).unwrap();
    own.energise(&limits(&["minus"], 5.0)).unwrap();
    drop(own);
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
    let (fake, own) = with(&[Habit::BeginsOn]);
    let trip = own.trip();
    let mut own = own;
    own.energise(&limits(&["minus"], 5.0)).unwrap();
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
