//! Outputs that are switched behind the program's back.

use super::{FakeInstrument, Habit, Instruments, limits, with};
use crate::bench::{Bench, Go, SamplingEnd, Work};
use crate::procedure::read_bench;
use crate::record::Source;

fn look_over(instruments: &mut Instruments, off_is_due: bool) -> SamplingEnd {
    instruments.watch(&Work::Glance { off_is_due }, &[], &mut |_| Go::Enough).end
}

fn found_on() -> SamplingEnd {
    SamplingEnd::FoundOn { instrument: "osprey".to_owned(), output: "plus".to_owned() }
}

/// A fake with its first output up.
fn up() -> (FakeInstrument, Instruments) {
    let (fake, mut instruments) = with(&[]);
    instruments.energise(&limits(&["plus"], 10.0)).unwrap();
    assert_eq!(look_over(&mut instruments, false), SamplingEnd::Asked);
    (fake, instruments)
}

#[test]
fn an_output_switched_on_at_its_front_panel_is_found_and_switched_off() {
    for off_is_due in [false, true] {
        let (fake, mut instruments) = with(&[]);
        assert_eq!(look_over(&mut instruments, off_is_due), SamplingEnd::Asked);
        fake.press(true);
        let before = fake.heard().len();
        assert_eq!(look_over(&mut instruments, off_is_due), found_on());
        let is_off = |message: &String| message.ends_with("OUTP OFF");
        let by = std::time::Instant::now() + std::time::Duration::from_secs(10);
        while !fake.heard()[before..].iter().any(is_off) {
            assert!(std::time::Instant::now() < by, "it was left on");
        }
    }
}

#[test]
fn an_output_turned_up_above_the_ceiling_of_its_stage_is_found_and_switched_off() {
    for (voltage, current, said) in [
        (30.0, 0.1, "output plus is set to 30 V, above the 10 V of its stage"),
        (10.0, 0.5, "output plus is set to 0.5 A, above the 0.1 A of its stage"),
    ] {
        let (fake, mut instruments) = up();
        fake.turn(voltage, current);
        let before = fake.heard().len();
        let end = look_over(&mut instruments, false);
        let SamplingEnd::Tripped { instrument, reason } = end else { panic!("not told: {end:?}") };
        assert_eq!((instrument.as_str(), reason.to_string().as_str()), ("osprey", said));
        assert!(fake.hears("INST:NSEL 1;:OUTP OFF") && fake.heard().len() > before);
    }
    // Anywhere below it is as it may be.
    let (fake, mut instruments) = up();
    fake.turn(10.04, 0.02);
    assert_eq!(look_over(&mut instruments, false), SamplingEnd::Asked);
}

#[test]
fn a_voltage_above_the_ceiling_is_found_whatever_is_set() {
    let (fake, mut instruments) = with(&[Habit::Above(16.0)]);
    instruments.energise(&limits(&["plus"], 10.0)).unwrap();
    let SamplingEnd::Tripped { reason, .. } = look_over(&mut instruments, false) else {
        panic!("not told")
    };
    assert_eq!(reason.to_string(), "output plus measures 16 V, above the 10 V of its stage");
    assert!(fake.hears("INST:NSEL 1;:OUTP OFF"));
}

#[test]
fn an_output_that_goes_off_is_told_unless_off_is_due() {
    let (fake, mut instruments) = up();
    fake.press(false);
    assert_eq!(look_over(&mut instruments, true), SamplingEnd::Asked);
    let SamplingEnd::Tripped { instrument, reason } = look_over(&mut instruments, false) else {
        panic!("not told")
    };
    assert_eq!(instrument, "osprey");
    assert!(reason.to_string().starts_with("output plus went off by itself"), "{reason}");
}

#[test]
fn an_output_that_came_up_beside_the_one_that_should_is_found() {
    let (fake, mut instruments) = with(&[]);
    instruments.energise(&limits(&["minus"], 10.0)).unwrap();
    fake.press(true);
    assert_eq!(look_over(&mut instruments, false), found_on());
}

#[test]
fn what_a_person_switches_is_asked_again_after_it_was_confirmed_off() {
    let (fake, mut instruments) = with(&[]);
    instruments.leave_to_hands(Source::Mains);
    fake.press(true);
    assert_eq!(look_over(&mut instruments, false), found_on(), "a supply is no mains switch");
    let (fake, mut instruments) = with(&[]);
    instruments.leave_to_hands(Source::BenchSupply);
    for on in [true, false, true] {
        fake.press(on);
        assert_eq!(look_over(&mut instruments, false), SamplingEnd::Asked);
    }
    instruments.outputs_off().unwrap();
    fake.press(true);
    assert_eq!(look_over(&mut instruments, false), found_on());
}

#[test]
fn an_output_that_was_not_confirmed_off_is_not_found_over_and_over() {
    let (fake, mut instruments) = with(&[Habit::Leaves(9.0, 0.05)]);
    instruments.energise(&limits(&["plus"], 10.0)).unwrap();
    assert!(instruments.outputs_off().is_err());
    fake.press(true);
    assert_eq!(look_over(&mut instruments, false), SamplingEnd::Asked);
}

#[test]
fn an_output_found_on_is_told_even_where_another_instrument_cannot_be_taken_over() {
    let (on, silent) = (
        FakeInstrument::start(&[Habit::BeginsOn]),
        FakeInstrument::start(&[Habit::Silent("*IDN?")]),
    );
    let instrument = |name: &str| {
        format!(
            "  {name}:\n    what: a supply\n    serial: A1\n    role: supply\n    \
             channels: {{{name}-out: {{number: 1, voltage_max: 32 V, current_max: 3 A}}}}\n    \
             connection: {{address: 'simulated://{name}', timeout: 100 ms, dialect: {{select: 'INST:NSEL {{number}}'}}}}\n"
        )
    };
    let text = format!(
        "format: 1\nbench: invented\ninstruments:\n{}{}",
        instrument("left"),
        instrument("right")
    );
    let reach = [("left", &on), ("right", &silent)];
    let reach = reach.map(|(name, fake)| (name.to_owned(), fake.address)).into_iter().collect();
    let refused = Instruments::connect(&read_bench(&text).unwrap(), &reach).err().unwrap();
    assert_eq!(refused.lost.instrument, "right");
    let said = refused.to_string();
    let order = "PULL THE PLUG of right (a supply): output right-out IS NOT CONFIRMED OFF; ";
    assert!(said.starts_with(order), "{said}");
    assert!(said.contains("; left: output left-out was on, and was switched off"), "{said}");
}
