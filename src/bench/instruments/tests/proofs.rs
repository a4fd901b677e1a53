//! Proofs of the instruments themselves.

use super::{Fake, Habit, connect, with};
use crate::bench::BenchClock;

#[test]
fn settings_are_proved_with_the_output_off() {
    let (fake, mut own) = with(&[]);
    let proofs = own.prove_settings("plus").unwrap();
    // Four voltages, four currents, and both protections that this output has.
    assert!(proofs.len() == 10 && proofs.iter().all(|proof| proof.fits), "{proofs:?}");
    assert!(!fake.heard().iter().any(|message| message.contains("OUTP ON")));
    let (_fake, mut own) = with(&[Habit::Says("VOLT?", "16")]);
    let proofs = own.prove_settings("plus").unwrap();
    let misread: Vec<_> = proofs.iter().filter(|proof| !proof.fits).map(|own| own.asked).collect();
    assert_eq!(misread.len(), 3, "{proofs:?}");
    let (_fake, mut own) = with(&[Habit::Silent("VOLT:PROT?")]);
    assert!(own.prove_settings("plus").is_err(), "a protection that it has not");
}

#[test]
fn off_ends_the_output_or_is_seen_not_to() {
    let (fake, mut own) = with(&[]);
    let fall = own.prove_off("plus").unwrap();
    assert!(fall.after.is_some() && (fall.on - 3.0).abs() < 0.01 && fall.last.abs() < 0.01);
    assert!(fake.heard().iter().any(|message| message.ends_with(":VOLT 3")));
    let (_fake, own) = with(&[Habit::Leaves(2.5, 0.0)]);
    let clock = BenchClock::default();
    clock.run_at(50.0);
    let mut own = own.by_clock(clock);
    let fall = own.prove_off("plus").unwrap();
    assert_eq!(fall.after, None);
    assert!((fall.last - 2.5).abs() < 0.01);
}

#[test]
fn the_indication_of_limiting_is_proved_with_a_known_load() {
    let (_fake, mut own) = with(&[Habit::Load(10.0)]);
    let proof = own.prove_limiting("plus").unwrap().unwrap();
    assert!(proof.holds(), "{proof:?}");
    assert_eq!(own.prove_limiting("minus"), Ok(None), "no known load");
    // The bit is always as if it did not limit; or nothing is connected.
    for habits in [&[Habit::Load(10.0), Habit::Says("STAT?", "8")][..], &[]] {
        let mut own = connect(&Fake::start(habits)).unwrap();
        let proof = own.prove_limiting("plus").unwrap().unwrap();
        assert!(!proof.holds() && !proof.at_limit, "{proof:?}");
    }
}

#[test]
fn round_trips_are_counted() {
    let (_fake, mut own) = with(&[]);
    let trip = own.round_trip("osprey").unwrap();
    assert!(trip.asked == 200 && trip.median <= trip.percentile_99);
    assert!(own.round_trip("heron").is_err());
}
