//! Bringing outputs up: the order of it, and what keeps one down.

use super::{Habit, limits, with};
use crate::bench::Bench;
use crate::bench::watch::Sampler;

#[test]
fn protections_limit_and_zero_volts_come_before_on_and_all_is_read_back() {
    let (fake, mut instruments) = with(&[]);
    let before = fake.heard().len();
    instruments.energise(&limits(&["plus"], 10.0)).unwrap();
    let heard: Vec<_> = fake.heard()[before..]
        .iter()
        .map(|message| message.trim_start_matches("INST:NSEL 1;:").to_owned())
        .filter(|message| message != "SYST:ERR?")
        .collect();
    assert_eq!(
        heard,
        [
            "OUTP OFF",
            "OUTP?",
            "MEAS:VOLT?",
            "*IDN?",
            "VOLT:PROT 11",
            "VOLT:PROT?",
            "CURR:PROT 0.12",
            "CURR:PROT?",
            "CURR 0.1",
            "CURR?",
            "VOLT 0",
            "VOLT?",
            "OUTP ON",
            "OUTP?",
        ]
    );
}

#[test]
fn all_outputs_are_prepared_before_the_first_comes_on() {
    let (fake, mut instruments) = with(&[]);
    instruments.energise(&limits(&["plus", "minus"], 10.0)).unwrap();
    let heard = fake.heard();
    let last_set = heard.iter().rposition(|message| message.contains("VOLT 0")).unwrap();
    let first_on = heard.iter().position(|message| message.contains("OUTP ON")).unwrap();
    assert!(last_set < first_on, "{heard:?}");
}

#[test]
fn an_instrument_that_does_otherwise_is_named_and_everything_goes_off() {
    for (habit, said) in [
        (Habit::Says("VOLT:PROT?", "32"), "`INST:NSEL 1;:VOLT:PROT 11` was sent, but 32 V is read"),
        (Habit::Says("CURR?", "3.0"), "`INST:NSEL 1;:CURR 0.1` was sent, but 3 A is read back"),
        (Habit::Says("VOLT?", "0.2"), "`INST:NSEL 1;:VOLT 0` was sent, but 0.2 V is read back"),
        (Habit::Says("VOLT?", "0,0"), "answers `0,0` to `INST:NSEL 1;:VOLT?`, where a voltage"),
        (Habit::Says("VOLT?", "9.91E37"), "where a voltage is expected"),
        (Habit::Says("CURR?", ""), "where a current is expected"),
        (Habit::Silent("CURR?"), "no reply to `INST:NSEL 1;:CURR?`"),
        (Habit::DropsFirst("CURR 0.1"), "but 1 A is read back"),
        (Habit::ErrsAfter("CURR 0.1"), "reports an error after `INST:NSEL 1;:CURR 0.1`: -222,"),
        (Habit::ErrsAfter("OUTP ON"), "reports an error after `INST:NSEL 1;:OUTP ON`: -222,"),
        (Habit::Ignores("OUTP ON"), "output `plus` was switched on, but says it is not on"),
    ] {
        let (fake, mut instruments) = with(&[habit]);
        let lost = instruments.energise(&limits(&["plus"], 10.0)).unwrap_err();
        assert_eq!(lost.instrument, "osprey");
        assert!(lost.why.contains(said), "{habit:?}: {lost}");
        let heard = fake.heard();
        let last = heard.iter().rposition(|message| message.ends_with(":OUTP OFF"));
        let on = heard.iter().rposition(|message| message.ends_with(":OUTP ON"));
        assert!(last > on, "{habit:?}: {heard:?}");
    }
}

#[test]
fn nothing_is_asked_of_an_output_beyond_what_it_may_deliver() {
    let (fake, mut instruments) = with(&[]);
    for (voltage, said) in [(32.5, "0 to 32 V"), (0.0, "0 to 32 V"), (f64::NAN, "0 to 32 V")] {
        let lost = instruments.energise(&limits(&["plus"], voltage)).unwrap_err();
        assert!(lost.why.contains(said), "{lost}");
    }
    let lost = instruments.energise(&limits(&["centre"], 5.0)).unwrap_err();
    assert_eq!(lost.to_string(), "centre: no instrument is connected for it");
    assert!(!fake.heard().iter().any(|message| message.contains("OUTP ON")));
}

#[test]
fn a_voltage_goes_no_higher_than_the_ceiling_it_was_brought_up_with() {
    let (fake, mut instruments) = with(&[]);
    let refused = instruments.samplers()[0].set_voltage("plus", 5.0).unwrap_err();
    assert!(refused.why.contains("may deliver 0 to 0 V"), "{refused}");
    instruments.energise(&limits(&["plus"], 10.0)).unwrap();
    let supply = &mut instruments.samplers()[0];
    supply.set_voltage("plus", 10.0).unwrap();
    assert!((supply.voltage_set("plus").unwrap() - 10.0).abs() < 1e-9);
    for beyond in [10.1, -1.0, f64::NAN] {
        assert!(supply.set_voltage("plus", beyond).is_err(), "{beyond}");
    }
    assert!(!fake.heard().iter().any(|message| message.contains("VOLT 10.1")));
}
