//! Taking the instruments over: who they are, and what was on.

use std::thread::sleep;
use std::time::Duration;

use super::{DIALECT, FakeInstrument, Habit, bench, connect, reach};
use crate::bench::instruments::{Instruments, OutputFoundOn, SimulatedAddresses};
use crate::bench::{Bench, Off};

/// A bench at a real address where this answers.
fn real(fake: &FakeInstrument) -> crate::procedure::BenchFile {
    let text = format!(
        "format: 1\nbench: A bench for tests (invented)\ninstruments:\n  osprey:\n    what: meter\n    serial: A1\n    \
         functions: {{dc-voltage: [{{range: 60 V, count: 10 mV, of_reading: 0.5 %}}]}}\n    \
         connection: {{address: 'tcp://{}'}}\n",
        fake.address
    );
    crate::procedure::read_bench(&text).unwrap()
}

#[test]
fn an_instrument_that_says_it_is_simulated_is_none_of_a_real_run() {
    for (identity, is_taken) in [
        ("Tallow & Pike (invented),simulated meter,0,1", false),
        ("Invented,Meter SIMULATOR,1,1", false),
        ("Invented,SIM-3200,1,1", false),
        ("Invented,Sim2 meter,1,1", false),
        ("Invented,Osprey (demo),1,1", false),
        ("Invented,VirtualMeter,1,1", false),
        ("Invented,Osprey emulator,1,1", false),
        ("Invented,dummy_meter,1,1", false),
        ("Invented,Meter test-double,1,1", false),
        ("Simmons (invented),Osprey,1,1", true),
        ("Invented,Democrat double test,1,1", true),
        ("Invented,Osprey,1,1", true),
    ] {
        let fake = FakeInstrument::start(&[Habit::Says("*IDN?", identity)]);
        let taken = Instruments::connect(&real(&fake), &SimulatedAddresses::default()).map(drop);
        assert_eq!(taken.is_ok(), is_taken, "{identity}: {taken:?}");
        if let Err(lost) = taken {
            assert!(lost.to_string().contains("osprey: says that it is simulated"), "{lost}");
        }
        // On a simulated bench it is what it should be.
        let fake = FakeInstrument::start(&[Habit::Says("*IDN?", identity)]);
        assert!(connect(&fake).is_ok(), "{identity}");
    }
}

#[test]
fn what_is_on_is_told_and_switched_off_and_nothing_is_set() {
    let fake = FakeInstrument::start(&[Habit::BeginsOn]);
    let (mut instruments, found) = Instruments::connect(&bench(DIALECT), &reach(&fake)).unwrap();
    let at = |output: &str| OutputFoundOn {
        instrument: "osprey".to_owned(),
        output: output.to_owned(),
        set_to: Some(12.0),
        off: Some(Off::Fallen),
    };
    assert_eq!(found, [at("plus"), at("minus")]);
    assert_eq!(found[0].to_string(), "osprey: output plus was on, and was switched off");
    let off = instruments.outputs_off().unwrap();
    assert!(off.len() == 2 && off.iter().all(|(_, off)| *off == Off::Fallen), "{off:?}");
    let heard = fake.heard();
    for off in ["INST:NSEL 1;:OUTP OFF", "INST:NSEL 2;:OUTP OFF"] {
        assert!(heard.iter().any(|message| message == off), "{heard:?}");
    }
    assert!(!heard.iter().any(|message| message.contains("VOLT ")), "{heard:?}");
}

#[test]
fn another_instrument_than_expected_is_told_off_and_nothing_else() {
    let fake = FakeInstrument::start(&[]);
    let keys = "      identity: Heron\n";
    let lost = Instruments::connect(&bench(keys), &reach(&fake)).map(drop).unwrap_err().lost;
    assert!(lost.why.contains("Osprey") && lost.why.contains("expects `Heron`"), "{lost}");
    let heard = fake.heard();
    assert_eq!(heard[..4], ["OUTP?", "OUTP OFF", "OUTP?", "OUTP OFF"]);
    assert!(heard[4..].iter().all(|message| message == "*IDN?"), "{heard:?}");
    let keys = "      identity: Osprey\n";
    assert!(Instruments::connect(&bench(keys), &reach(&fake)).is_ok());
}

#[test]
fn a_simulated_instrument_is_no_part_of_a_real_run() {
    let lost = Instruments::connect(&bench(""), &SimulatedAddresses::default())
        .map(drop)
        .unwrap_err()
        .lost;
    assert_eq!(lost.instrument, "osprey");
    assert!(lost.why.contains("simulated://osprey stands on a simulated bench only"), "{lost}");
}

#[test]
fn an_instrument_that_cannot_be_taken_over_is_told_with_its_reason() {
    for (habit, said) in [
        (Habit::Silent("*IDN?"), "no reply to `*IDN?`"),
        (Habit::Says("*IDN?", ""), "answers `` to `*IDN?`"),
        (Habit::Says("SYST:ERR?", "-113,\"Undefined header\""), "after `*CLS`: -113,"),
        (Habit::Says("SYST:ERR?", "fine"), "where a numbered error is expected"),
        (Habit::Says("OUTP?", "\u{1b}[2J"), "the reply to `INST:NSEL 1 / OUTP?` is not text"),
        (Habit::Says("OUTP?", "maybe"), "answers `maybe` to `INST:NSEL 1 / OUTP?`"),
    ] {
        let lost = connect(&FakeInstrument::start(&[habit])).map(drop).unwrap_err();
        let said = said.replace(" / ", ";:");
        assert!(lost.why.contains(&said), "{habit:?}: {lost}");
    }
}

#[test]
fn an_instrument_without_an_error_question_is_not_asked_for_errors() {
    let fake = FakeInstrument::start(&[Habit::Silent("SYST:ERR?")]);
    let keys = "      dialect: {next_error: ''}\n";
    assert!(Instruments::connect(&bench(keys), &reach(&fake)).is_ok());
}

#[test]
fn states_are_words_that_the_bench_file_names() {
    let fake = FakeInstrument::start(&[Habit::Says("OUTP?", "disabled")]);
    assert!(connect(&fake).is_err());
    let keys = "      dialect: {on_words: [ENABLED], off_words: [DISABLED]}\n";
    assert!(Instruments::connect(&bench(keys), &reach(&fake)).is_ok());
    // A word that means both means nothing.
    let keys = "      dialect: {on_words: [DISABLED], off_words: [DISABLED]}\n";
    assert!(Instruments::connect(&bench(keys), &reach(&fake)).is_err());
}

#[test]
fn a_watchdog_is_armed_fed_and_disarmed() {
    let fake = FakeInstrument::start(&[]);
    let watchdog =
        "watchdog: {arm: 'WDOG {value}', time: 60 ms, feed: 'WDOG:FEED', disarm: 'WDOG:OFF'}";
    let keys = format!("      dialect: {{{watchdog}}}\n");
    let (instruments, _) = Instruments::connect(&bench(&keys), &reach(&fake)).unwrap();
    sleep(Duration::from_millis(300));
    let fed = fake.heard().iter().filter(|message| *message == "WDOG:FEED").count();
    assert!(fed >= 5, "fed {fed} times");
    let armed = fake.heard().iter().position(|message| message == "WDOG 0.06").unwrap();
    let off = fake.heard().iter().position(|message| message == "OUTP OFF").unwrap();
    assert!(off < armed, "it is armed with the outputs off");
    drop(instruments);
    assert!(fake.hears("WDOG:OFF"));
    let heard = fake.heard();
    let last_off = heard.iter().rposition(|message| message == "OUTP OFF").unwrap();
    assert!(last_off < heard.iter().position(|message| message == "WDOG:OFF").unwrap());
}

#[test]
fn off_goes_before_anything_is_asked_that_may_be_answered_oddly() {
    for habits in [
        &[Habit::BeginsOn][..],
        &[Habit::BeginsOn, Habit::Says("*CLS", "what?")],
        &[Habit::BeginsOn, Habit::Says("SYST:ERR?", "fine")],
        &[Habit::BeginsOn, Habit::Silent("SYST:ERR?")],
        &[Habit::BeginsOn, Habit::Silent("*IDN?")],
        &[Habit::BeginsOn, Habit::Says("OUTP?", "maybe")],
        &[Habit::BeginsOn, Habit::Silent("OUTP?")],
    ] {
        let fake = FakeInstrument::start(habits);
        let taken = Instruments::take_over(&bench(DIALECT), &reach(&fake));
        let heard = fake.heard();
        let first = |end: &str| heard.iter().position(|message| message.ends_with(end));
        for other in ["*IDN?", "*CLS", "SYST:ERR?", "VOLT?"] {
            let other = first(other).unwrap_or(usize::MAX);
            assert!(first("NSEL 2;:OUTP OFF").is_some_and(|off| off < other), "{heard:?}");
        }
        drop(taken);
    }
}

#[test]
fn what_was_on_is_told_of_an_instrument_that_then_answers_oddly() {
    let fake = FakeInstrument::start(&[Habit::BeginsOn, Habit::Says("SYST:ERR?", "fine")]);
    let taken = Instruments::take_over(&bench(DIALECT), &reach(&fake));
    assert_eq!(taken.found.len(), 2);
    assert_eq!(taken.failures[0].not_off, None);
}

#[test]
fn an_output_that_does_not_say_whether_it_was_on_is_not_taken_for_off() {
    // Answered only once off was sent and confirmed.
    let fake = FakeInstrument::start(&[Habit::DropsFirst("OUTP?")]);
    let lost = connect(&fake).map(drop).unwrap_err();
    assert!(lost.why.contains("did not say whether it was on"), "{lost}");
}
