//! Proofs of the instruments themselves.

use super::{FakeInstrument, Habit, connect, limits, with};
use crate::bench::instruments::DriverError;
use crate::bench::{Bench, BenchClock};

#[test]
fn settings_are_proved_with_the_output_off() {
    let (fake, mut instruments) = with(&[]);
    let proofs = instruments.prove_settings("plus").unwrap();
    // Four voltages, four currents, and both protections that this output has.
    assert!(proofs.len() == 10 && proofs.iter().all(|proof| proof.fits), "{proofs:?}");
    assert!(!fake.heard().iter().any(|message| message.contains("OUTP ON")));
    let (_fake, mut instruments) = with(&[Habit::Says("VOLT?", "16")]);
    let proofs = instruments.prove_settings("plus").unwrap();
    let misread: Vec<_> =
        proofs.iter().filter(|proof| !proof.fits).map(|result| result.asked).collect();
    assert_eq!(misread.len(), 3, "{proofs:?}");
    let (_fake, mut instruments) = with(&[Habit::Silent("VOLT:PROT?")]);
    assert!(instruments.prove_settings("plus").is_err(), "a protection that it has not");
}

#[test]
fn nothing_is_set_at_an_output_that_is_live_in_spite_of_its_word() {
    let (fake, mut instruments) = with(&[Habit::Leaves(10.0, 0.0)]);
    instruments.energise(&limits(&["plus"], 10.0)).unwrap();
    instruments.outputs_off().unwrap_err();
    let before = fake.heard().len();
    assert!(instruments.prove_settings("plus").is_err() && instruments.prove_dead("plus").is_err());
    let set = |message: &String| message.contains("VOLT 32") || message.contains("VOLT 16");
    assert!(!fake.heard()[before..].iter().any(set), "{:?}", fake.heard());
}

#[test]
fn nothing_goes_on_behind_a_trip_that_was_fired() {
    let (fake, mut instruments) = with(&[Habit::Load(10.0)]);
    instruments.trip().fire("a test");
    let before = fake.heard().len();
    assert_eq!(instruments.prove_off("plus"), Err(DriverError::Fired));
    assert_eq!(instruments.prove_limiting("plus"), Err(DriverError::Fired));
    assert_eq!(instruments.prove_settings("plus"), Err(DriverError::Fired));
    assert_eq!(instruments.round_trip("osprey"), Err(DriverError::Fired));
    assert!(!fake.heard()[before..].iter().any(|message| message.ends_with("OUTP ON")));
}

#[test]
fn off_ends_the_output_or_is_seen_not_to() {
    let (fake, mut instruments) = with(&[]);
    let fall = instruments.prove_off("plus").unwrap();
    assert!(fall.after.is_some() && (fall.on - 3.0).abs() < 0.01 && fall.last.abs() < 0.01);
    assert!(fake.heard().iter().any(|message| message.ends_with(":VOLT 3")));
    let (_fake, instruments) = with(&[Habit::Leaves(2.5, 0.0)]);
    let clock = BenchClock::default();
    clock.run_at(50.0);
    let mut instruments = instruments.by_clock(clock);
    let fall = instruments.prove_off("plus").unwrap();
    assert_eq!(fall.after, None);
    assert!((fall.last - 2.5).abs() < 0.01);
}

#[test]
fn the_indication_of_limiting_is_proved_with_a_known_load() {
    let (_fake, mut instruments) = with(&[Habit::Load(10.0)]);
    let proof = instruments.prove_limiting("plus").unwrap().unwrap();
    assert!(proof.holds(), "{proof:?}");
    assert_eq!(instruments.prove_limiting("minus"), Ok(None), "no known load");
    // The bit is always as if it did not limit; or nothing is connected.
    for habits in [&[Habit::Load(10.0), Habit::Says("STAT?", "8")][..], &[]] {
        let mut instruments = connect(&FakeInstrument::start(habits)).unwrap();
        let proof = instruments.prove_limiting("plus").unwrap().unwrap();
        assert!(!proof.holds() && !proof.at_limit, "{proof:?}");
    }
}

#[test]
fn round_trips_are_counted() {
    let (_fake, mut instruments) = with(&[]);
    let trip = instruments.round_trip("osprey").unwrap();
    assert!(trip.asked == 200 && trip.median <= trip.percentile_99);
    assert!(instruments.round_trip("heron").is_err());
}
