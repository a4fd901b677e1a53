//! Accuracy as data sheets give it.

use super::{assert_close, quantity};
use crate::quantity::Quantity;
use crate::window::accuracy::AccuracyError;
use crate::window::{Accuracy, Conditions, Uncertainty};

fn accuracy(yaml: &str) -> Accuracy {
    serde_yaml::from_str(yaml).unwrap()
}

fn half_width(yaml: &str, reading: &str) -> f64 {
    accuracy(yaml).half_width(&quantity(reading), &Conditions::default()).unwrap()
}

fn standard(yaml: &str, reading: &str) -> f64 {
    let estimate = accuracy(yaml).estimate(quantity(reading), "v", &Conditions::default());
    estimate.unwrap().standard_uncertainty()
}

#[test]
fn accuracy_as_data_sheets_give_it() {
    for (yaml, reading, bounds, u) in [
        // A distributor's page on a meter of 5000 counts.
        ("{range: 5 V, count: 1 mV, of_reading: 0.08 %, counts: 2}", "2 V", 0.0036, 0.002_078_46),
        // An exam page on a meter of 4 1/2 digits.
        ("{range: 200 V, count: 0.01 V, of_reading: 0.2 %, counts: 10}", "100 V", 0.3, 0.1732),
        // A maker's manual of a bench meter, 90 days.
        (
            "{range: 10 V, count: 1 uV, of_reading: 0.0020 %, of_range: 0.0005 %}",
            "5 V",
            150e-6,
            86.60e-6,
        ),
        // Two recomputed, invented.
        (
            "{range: 60 V, count: 0.01 V, of_reading: 0.5 %, counts: 3}",
            "35.02 V",
            0.2051,
            0.118_415,
        ),
        (
            "{range: 600 V, count: 0.1 V, of_reading: 1.0 %, counts: 4}",
            "-230.4 V",
            2.704,
            1.561_155,
        ),
    ] {
        assert_close(half_width(yaml, reading), bounds, 1e-6);
        assert_close(standard(yaml, reading), u, 1e-4);
    }
    // GUM 4.3.7: recomputed; text from memory. 14e-6 of reading, 2e-6 of range.
    let gum = "{range: 1 V, count: 1 nV, of_reading: 0.0014 %, of_range: 0.0002 %}";
    assert_close(half_width(gum, "0.928571 V"), 1.499_99e-5, 1e-5);
    assert_close(standard(gum, "0.928571 V").powi(2), 75e-12, 1e-3);
}

/// A promise alone is rectangular: U at 95 % is 0.95 of its bounds, not twice u.
#[test]
fn a_promise_alone_expands_within_its_bounds() {
    let accuracy = accuracy("{range: 6 V, count: 1 mV, of_reading: 0.5 %, counts: 2}");
    let reading = accuracy.estimate(quantity("3.2 V"), "rail", &Conditions::default()).unwrap();
    let uncertainty = Uncertainty::of(&reading, Uncertainty::LEVEL).unwrap();
    assert_eq!(uncertainty.expanded, quantity("17.1 mV"));
}

/// GUM F.2.2.1: half a count on each side is 0.29 of a count (recomputed; text from memory).
#[test]
fn a_promise_without_counts_leaves_the_last_digit() {
    assert_close(standard("{range: 100 V, count: 0.1 V}", "100 V"), 0.029, 0.01);
    let counted = "{range: 100 V, count: 0.1 V, counts: 1}";
    assert_close(standard(counted, "100 V"), 0.1 / 3_f64.sqrt(), 1e-9);
}

#[test]
fn beyond_its_span_a_promise_widens() {
    let at = |ambient: &str, part: &str| {
        let yaml = format!(
            "{{range: 10 V, count: 1 mV, of_reading: 0.1 %, counts: 1, \
             outside_span: {{from: 18 degC, to: 28 degC, {part}}}}}"
        );
        let conditions = Conditions { ambient: Some(quantity(ambient)), ..Conditions::default() };
        accuracy(&yaml).half_width(&quantity("5 V"), &conditions)
    };
    for (ambient, part, bounds) in [
        ("23 degC", "of_reading: 0.01 %/K", 6e-3),
        ("28 degC", "of_reading: 0.01 %/K", 6e-3),
        ("30 degC", "of_reading: 0.01 %/K", 7e-3),
        ("8 degC", "of_range: 0.01 %/K", 16e-3),
        ("33 degC", "of_accuracy: 10 %/K", 9e-3),
    ] {
        assert_close(at(ambient, part).unwrap(), bounds, 1e-9);
    }
    let kelvins = at("300 K", "of_reading: 0.01 %/K");
    assert!(matches!(kelvins, Err(AccuracyError::WrongDimension { part: "ambient", .. })));
    let ratio = at("30 degC", "of_reading: 0.01 %");
    assert!(matches!(ratio, Err(AccuracyError::WrongDimension { part: "of_reading", .. })));
}

#[test]
fn what_a_meter_takes_away_by_loading_is_added_back() {
    let accuracy = accuracy("{range: 60 V, count: 10 mV, counts: 1, input_resistance: 10 Mohm}");
    let with = |reading: &str, source: Option<Quantity>| {
        let conditions = Conditions { source_resistance: source, ..Conditions::default() };
        accuracy.estimate(quantity(reading), "grid", &conditions).unwrap()
    };
    // 1 Mohm and 10 Mohm leave 10/11 of 44 V: the meter shows 40 V, and 4 V are known to be missing.
    let counted = 0.01 / 3_f64.sqrt();
    let loaded = with("40 V", Some(quantity("1 Mohm")));
    assert_eq!(loaded.value, quantity("44 V"));
    assert_close(loaded.standard_uncertainty(), (0.4 / 3_f64.sqrt()).hypot(counted), 1e-9);
    assert_eq!(with("-40 V", Some(quantity("1 Mohm"))).value, quantity("-44 V"));
    let plain = with("40.00 V", None);
    assert_eq!(plain.value, quantity("40.00 V"));
    assert_close(plain.standard_uncertainty(), counted, 1e-9);
}

/// Worked answers that others published. 500 ohm and 3 kohm in series on 60 V: a voltmeter of 2 kohm reads 7.06 V and 42.35 V across
/// them (a tutors' page of answers in physics), where 60/7 V and 360/7 V stand without it. 0.6 mA from 20 kohm fall to 0.593 mA
/// through an ammeter of 250 ohm (a teaching page, "Loading Effects of Instruments").
#[test]
fn published_examples_of_loading_are_met() {
    let volts = "{range: 60 V, count: 10 mV, counts: 1, input_resistance: 2 kohm}";
    let amps = "{range: 2 mA, count: 1 uA, counts: 1, input_resistance: 250 ohm}";
    let between = 500.0 * 3000.0 / 3500.0;
    for (yaml, shown, source, true_value) in [
        (volts, "7.06 V", between, 60.0 / 7.0),
        (volts, "42.35 V", between, 360.0 / 7.0),
        (amps, "0.593 mA", 20e3, 0.6e-3),
    ] {
        let source_resistance = Quantity::from_f64(source, quantity("1 ohm").dimension);
        let conditions = Conditions { source_resistance, ..Conditions::default() };
        let found = accuracy(yaml).estimate(quantity(shown), "grid", &conditions).unwrap();
        let off = found.value.to_f64() / true_value - 1.0;
        assert!(off.abs() < 1e-3, "{shown}: {off}");
    }
}

/// Worked by hand: 42 V through 1.2 kohm drive 35 mA; with a burden of 100 ohm in the loop the meter shows 32.31 mA.
#[test]
fn a_current_meter_is_a_burden_in_series_and_no_divider() {
    let accuracy = accuracy("{range: 60 mA, count: 10 uA, counts: 1, input_resistance: 100 ohm}");
    let with = |source: &str| {
        let source_resistance = Some(quantity(source));
        let conditions = Conditions { source_resistance, ..Conditions::default() };
        let shown = Quantity::from_f64(42.0 / 1300.0, quantity("1 A").dimension).unwrap();
        accuracy.estimate(shown, "idle", &conditions)
    };
    assert_close(with("1.2 kohm").unwrap().value.to_f64(), 35e-3, 1e-9);
    // The larger the resistance in the loop, the less the burden counts.
    assert!(with("1 Mohm").unwrap().value.to_f64() < 32.4e-3);
    assert!(matches!(with("0 ohm"), Err(AccuracyError::NoSourceResistance)));
    let burden = quantity("2 mV/mA");
    assert_eq!(burden, quantity("2 ohm"), "a data sheet's burden voltage is a resistance");
}

/// A 0.22 ohm resistor reads 0.40 ohm behind leads of 0.18 ohm.
#[test]
fn test_leads_are_taken_off_a_resistance_and_off_nothing_else() {
    let ohmmeter = accuracy("{range: 600 ohm, count: 0.01 ohm, counts: 2, leads: 0.18 ohm}");
    let read = ohmmeter.estimate(quantity("0.40 ohm"), "r", &Conditions::default()).unwrap();
    assert_eq!(read.value, quantity("0.22 ohm"));
    let counted = 0.02 / 3_f64.sqrt();
    assert_close(read.standard_uncertainty(), counted.hypot(0.018 / 3_f64.sqrt()), 1e-9);
    for (yaml, reading) in [
        ("{range: 6 V, count: 1 mV, leads: 0.2 ohm}", "5 V"),
        ("{range: 600 ohm, count: 0.1 ohm, input_resistance: 10 Mohm}", "5 ohm"),
        ("{range: 600 W, count: 0.1 W, input_resistance: 10 Mohm}", "5 W"),
    ] {
        let refused = accuracy(yaml).estimate(quantity(reading), "r", &Conditions::default());
        assert!(matches!(refused, Err(AccuracyError::Misplaced { .. })), "{yaml}");
    }
}

#[test]
fn the_range_in_use_is_the_smallest_that_holds_the_reading() {
    let ranges = ["600 mV", "6 V", "60 V", "6 A"]
        .map(|range| accuracy(&format!("{{range: {range}, count: 1 mV, counts: 2}}")));
    let found = |reading: &str| {
        Accuracy::in_use(&ranges, &quantity(reading)).map(|accuracy| accuracy.range)
    };
    assert_eq!(found("5 V"), Some(quantity("6 V")));
    assert_eq!(found("-6 V"), Some(quantity("6 V")));
    assert_eq!(found("6.001 V"), Some(quantity("60 V")));
    assert_eq!(found("61 V"), None);
    assert_eq!(found("1 mA"), Some(quantity("6 A")));
    assert_eq!(found("1 ohm"), None);
}

#[test]
fn a_thermometer_counts_in_kelvins() {
    let yaml = "{range: 400 degC, count: 0.1 K, of_reading: 1 %, counts: 10}";
    assert_close(half_width(yaml, "54 degC"), 1.54, 1e-9);
}

#[test]
fn what_does_not_fit_is_refused() {
    let refused = |yaml: &str, reading: &str| {
        let estimate = accuracy(yaml).estimate(
            quantity(reading),
            "v",
            &Conditions { source_resistance: Some(quantity("1 ohm")), ..Conditions::default() },
        );
        estimate.unwrap_err().to_string()
    };
    let amps = refused("{range: 6 V, count: 1 mA, counts: 2}", "5 V");
    assert_eq!(amps, "`count` of the accuracy is current, but voltage belongs there");
    let other = refused("{range: 6 A, count: 1 mV}", "5 V");
    assert_eq!(other, "`range` of the accuracy is current, but voltage belongs there");
    let absolute = refused("{range: 6 V, count: 1 mV, of_reading: 5 mV}", "5 V");
    assert!(absolute.contains("`of_reading`"), "{absolute}");
    let negative = refused("{range: 6 V, count: 1 mV, of_range: -1 %}", "5 V");
    assert!(negative.contains("below zero"), "{negative}");
    let short = refused("{range: 6 V, count: 1 mV, input_resistance: 0 ohm}", "5 V");
    assert!(short.contains("would short"), "{short}");
    for yaml in ["{range: 6 V, count: 1 mV, digits: 2}", "{range: 6 V}", "{range: 6, count: x}"] {
        assert!(serde_yaml::from_str::<Accuracy>(yaml).is_err(), "{yaml}");
    }
}
