#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

mod choice;
mod functions;
mod random;
mod uncertain;

use std::ops::Range;

use proptest::prelude::*;

use super::*;
use crate::quantity::{Dimension, Quantity, Unit};

fn quantity(text: &str) -> Quantity {
    Quantity::parse(text).unwrap()
}

/// The readings of an invented bench.
fn bench(name: &str) -> Option<Vec<Quantity>> {
    let readings: &[&str] = match name {
        "rail" => &["63 V"],
        "idle_plus" => &["65 mA"],
        "idle_minus" => &["60 mA"],
        "reservoir" => &["10 mF"],
        "load" => &["8 ohm"],
        "loss" => &["50 W"],
        "ratio" => &["2"],
        "gain" => &["26 dB"],
        "sink" => &["54 degC"],
        "room" => &["22 degC"],
        "rise" => &["30 K"],
        "hold" => &["2 s"],
        "drop" => &["11.2 mV", "10.9 mV", "12.4 mV"],
        "drop.q1" => &["11.2 mV"],
        "exact" => &["1.2345678901234567 V"],
        "huge" => &["1e60"],
        "pending" => &[],
        "mixed" => &["1 V", "1 A"],
        _ => return None,
    };
    Some(readings.iter().map(|text| quantity(text)).collect())
}

fn measures(name: &str) -> Option<Dimension> {
    bench(name)?.first().map(|reading| reading.dimension)
}

fn evaluate(text: &str) -> Result<Quantity, FormulaError> {
    Formula::parse(text)?.evaluate(&bench)
}

/// Where the error points, as text, with its message and its help.
fn complaint(text: &str, error: &FormulaError) -> (String, String, String) {
    let pointed = text.get(error.at.clone()).unwrap().to_owned();
    (pointed, error.to_string(), error.help().unwrap_or_default())
}

#[test]
fn binds_as_in_arithmetic() {
    for (text, expected) in [
        ("2 + 3 * 4", "14"),
        ("(2 + 3) * 4", "20"),
        ("10 - 4 - 3", "3"),
        ("2 - (4 - 3)", "1"),
        ("100 / 10 / 2", "5"),
        ("1/2", "0.5"),
        ("-2^2", "-4"),
        ("(-2)^2", "4"),
        ("2 * -3 + 1", "-5"),
        ("2 - -3", "5"),
        ("--2", "2"),
        ("2^-1", "0.5"),
        ("2 * 3^2", "18"),
        ("-ratio * 3", "-6"),
        ("3^0", "1"),
        ("0 * -1", "0"),
        ("0.1 + 0.2", "0.3"),
        ("40 % * 2", "0.8"),
        ("1e-3 A + 1 mA", "2 mA"),
        ("2 V ^2 / 1 ohm", "4 W"),
        ("abs(-3)", "3"),
        ("sqrt(value = 16)", "4"),
        ("min(3, 1, 2)", "1"),
        ("max( 3 V , 1 V )", "3 V"),
        ("max(1, min(2, 3)) * 2", "4"),
    ] {
        assert_eq!(evaluate(text).unwrap(), quantity(expected), "{text}");
    }
}

#[test]
fn dimensions_follow_the_arithmetic() {
    for (text, unit) in [
        ("rail / load", "A"),
        ("sqrt(loss * load)", "V"),
        ("rail * idle_plus", "W"),
        ("rail^2 / load", "W"),
        ("idle_plus^2 * load", "W"),
        ("load * reservoir", "s"),
        ("hold / reservoir", "ohm"),
        ("reservoir / hold", "S"),
        ("1 / load", "S"),
        ("1 / hold", "Hz"),
        ("0.5 * reservoir * rail^2", "J"),
        ("loss * hold", "J"),
        ("idle_plus * hold", "C"),
        ("hold^-2", "s-2"),
        ("abs(idle_plus - idle_minus) / idle_plus", ""),
        ("sqrt(ratio)", ""),
        ("max(drop) - min(drop)", "V"),
        ("-rail", "V"),
        ("sink - room", "K"),
        ("room + rise", "degC"),
        ("rise + room", "degC"),
        ("sink - rise", "degC"),
        ("max(sink, room)", "degC"),
        ("abs(sink - room) / loss", "K/W"),
        ("gain - 6 dB", "dB"),
        ("2 * gain", "dB"),
        ("60 W", "W"),
    ] {
        let formula = Formula::parse(text).unwrap();
        let expected = Unit::parse(unit).unwrap().dimension();
        assert_eq!(formula.dimension(&measures).unwrap(), expected, "{text}");
        assert_eq!(formula.evaluate(&bench).unwrap().dimension, expected, "{text}");
    }
}

#[test]
fn what_does_not_fit_is_refused_before_the_run() {
    for (text, pointed, message, help) in [
        ("1 + (rail + idle_plus)", "+", "voltage and current can't be added", ""),
        ("rail - idle_plus", "-", "current can't be subtracted from voltage", ""),
        ("rail + 15", "+", "voltage and plain number can't be added", "lack its unit"),
        ("sink + room", "+", "temperature and temperature can't be added", "differences in K"),
        ("rise - room", "-", "temperature can't be subtracted from temperature diff", "in K"),
        ("2 * sink", "*", "plain number and temperature can't be multiplied", "in K"),
        ("sink / 2", "/", "temperature can't be divided by plain number", "in K"),
        ("-sink", "-sink", "temperature can't be negated", "in K"),
        ("(sink)^2", "(sink)", "temperature can't be raised to the power 2", "in K"),
        ("abs(sink)", "sink", "has no size", ""),
        ("gain * gain", "*", "level and level can't be multiplied", "dB"),
        ("2 * sqrt(rail)", "rail", "voltage has no square root", ""),
        ("sqrt(loss*load*load)", "loss*load*load", "has no square root", ""),
        ("max(rail, 2 V, 3 A)", "3 A", "voltage and current can't be compared", ""),
        ("rail * rael", "rael", "nothing is called `rael`", "did you mean `rail`?"),
        ("rail / ohm", "ohm", "nothing is called `ohm`", "as in `1 ohm`"),
        ("rail / secondary", "secondary", "nothing is called `secondary`", ""),
        ("rail^9 * rail^9 * rail^9 * rail^9 * rail^9", "*", "can't be multiplied", ""),
    ] {
        let known = ["rail".to_owned(), "idle_plus".to_owned()];
        let error = Formula::parse(text).unwrap().dimension_among(&known, &measures).unwrap_err();
        let (found, said, helped) = complaint(text, &error);
        assert_eq!(found, pointed, "{text}: {said}");
        assert!(said.contains(message), "{text}: {said}");
        assert!(helped.contains(help) && helped.is_empty() == help.is_empty(), "{text}: {helped}");
    }
}

#[test]
fn what_is_not_a_formula_is_refused_where_it_breaks() {
    let deep = format!("{}1{}", "(".repeat(64), ")".repeat(64));
    for (text, at, message) in [
        ("", 0..0, "the formula is empty"),
        ("   ", 0..3, "the formula is empty"),
        ("rail +", 6..6, "is missing here"),
        ("* rail", 0..1, "`*` stands where a number"),
        ("+2", 0..1, "`+` stands where"),
        ("rail load", 5..9, "an operator or the end"),
        ("2 * (rail + 1 V", 4..5, "never closed"),
        ("max(1, 2", 3..4, "never closed"),
        ("max(1 2)", 6..7, "an operator or `)`"),
        ("rail)", 4..5, "an operator or the end"),
        ("rail(2)", 0..4, "no function `rail`"),
        ("max()", 0..5, "at least one value"),
        ("max(1,)", 6..7, "`)` stands where"),
        ("max(of = 1)", 4..6, "have no names"),
        ("sqrt()", 0..6, "without its `value`"),
        ("sqrt(1, 2)", 8..9, "one value too many"),
        ("sqrt(valu = 2)", 5..9, "no value called `valu`"),
        ("load = 2", 5..6, "`=` stands where"),
        ("2 pairs", 0..7, "unknown unit"),
        ("5 + 2.5.1 V", 4..11, ""),
        ("rail^x", 5..6, "a power is a whole number"),
        ("rail^0.5", 5..8, "a power is a whole number"),
        ("rail^-10", 5..8, "a power is a whole number"),
        ("rail^2 V", 5..8, "a power is a whole number"),
        ("rail^2^3", 6..7, "needs parentheses"),
        ("rail^", 5..5, "a power is a whole number"),
        (deep.as_str(), 64..65, "nested too deeply"),
    ] {
        let error = Formula::parse(text).unwrap_err();
        assert_eq!(error.at, at, "{text}: {error}");
        assert!(error.to_string().contains(message), "{text}: {error}");
    }
    let long = "1+".repeat(500);
    assert!(Formula::parse(&format!("{long}1")).unwrap_err().to_string().contains("at most 1000"));
    assert_eq!(evaluate(&format!("{}11", long.split_at(998).0)).unwrap(), quantity("510"));
    let help = Formula::parse("squrt(2)").unwrap_err().help();
    assert_eq!(help.as_deref(), Some("did you mean `sqrt`?"));
}

#[test]
fn what_has_no_finite_result_is_refused_where_it_fails() {
    for (text, pointed, message) in [
        ("load + rail / (idle_plus - 65 mA)", "(idle_plus - 65 mA)", "divided by zero"),
        ("0 / 0", "0", "divided by zero"),
        ("(ratio - 2)^-1", "(ratio - 2)", "divided by zero"),
        ("2 * sqrt(1 - ratio)", "1 - ratio", "negative number"),
        ("1 + huge^9", "huge^9", "no finite number"),
        ("2 * -drop", "drop", "3 readings"),
        ("drop", "drop", "3 readings"),
        ("max(drop, 1 V)", "drop", "3 readings"),
        ("abs(drop)", "drop", "3 readings"),
        ("max(-drop)", "drop", "3 readings"),
        ("rail + pending", "pending", "no reading yet"),
        ("max(mixed)", "mixed", "different things"),
        ("rail + nobody", "nobody", "nothing is called"),
        ("rail + idle_plus", "+", "can't be added"),
    ] {
        let error = evaluate(text).unwrap_err();
        let (found, said, _) = complaint(text, &error);
        assert_eq!(found, pointed, "{text}: {said}");
        assert!(said.contains(message), "{text}: {said}");
    }
}

#[test]
fn one_name_can_stand_for_several_readings() {
    assert_eq!(evaluate("max(drop) - min(drop)").unwrap(), quantity("1.5 mV"));
    assert_eq!(evaluate("max((drop))").unwrap(), quantity("12.4 mV"));
    assert_eq!(evaluate("max(drop.q1, 12 mV)").unwrap(), quantity("12 mV"));
    assert_eq!(evaluate("min(rail)").unwrap(), quantity("63 V"));
}

#[test]
fn what_stands_alone_is_passed_on_exactly() {
    for (text, expected) in [
        ("exact", "1.2345678901234567 V"),
        ("(exact)", "1.2345678901234567 V"),
        ("-1.2345678901234567 V", "-1.2345678901234567 V"),
        ("-(0.1 A)", "-0.1 A"),
        ("-5 degC", "-5 degC"),
    ] {
        assert_eq!(evaluate(text).unwrap(), quantity(expected), "{text}");
    }
    assert_eq!(evaluate("1 * exact").unwrap(), quantity("1.23456789012 V"), "12 digits");
}

#[test]
fn names_are_listed_with_their_places_and_the_text_comes_back() {
    let text = " max(drop) - 2 V*(rail/drop.q1) + sqrt(value = drop) ";
    let formula = Formula::parse(text).unwrap();
    let expected: [(&str, Range<usize>); 4] =
        [("drop", 5..9), ("rail", 18..22), ("drop.q1", 23..30), ("drop", 47..51)];
    assert_eq!(formula.names(), expected);
    assert_eq!(formula.to_string(), text);
    assert_eq!(formula, Formula::parse(text).unwrap());
    assert_ne!(formula, Formula::parse("drop").unwrap());
}

// Energy in a capacitor, E = C V^2 / 2: plain arithmetic, checked independently to five digits.
#[test]
fn stored_energy_comes_out_right() {
    let formula = Formula::parse("0.5 * reservoir * rail^2").unwrap();
    for (reservoir, rail, energy) in [
        ("10 mF", "35 V", "6.125 J"),
        ("10 mF", "50 V", "12.5 J"),
        ("10 mF", "63 V", "19.845 J"),
        ("22 mF", "80 V", "70.4 J"),
        ("4.7 mF", "42 V", "4.1454 J"),
        ("100 uF", "325 V", "5.28125 J"),
        ("220 uF", "400 V", "17.6 J"),
        ("470 uF", "450 V", "47.5875 J"),
        ("47 uF", "500 V", "5.875 J"),
    ] {
        let of = |name: &str| Some(vec![quantity(if name == "rail" { rail } else { reservoir })]);
        assert_eq!(formula.evaluate(&of).unwrap(), quantity(energy), "{reservoir} {rail}");
    }
}

#[test]
fn the_voltage_for_an_energy_comes_out_right() {
    let formula = Formula::parse("sqrt(2 * energy / c)").unwrap();
    for (energy, c, volts) in [
        ("10 J", "100 uF", 447.2),
        ("10 J", "4.7 mF", 65.23),
        ("10 J", "22 mF", 30.15),
        ("100 J", "10 mF", 141.4),
        ("100 J", "22 mF", 95.35),
    ] {
        let of = |name: &str| Some(vec![quantity(if name == "c" { c } else { energy })]);
        let result = formula.evaluate(&of).unwrap();
        assert_eq!(result.dimension, Dimension::VOLTAGE);
        assert!((result.to_f64() / volts - 1.0).abs() < 2e-4, "{energy} {c}: {result}");
    }
}

fn likely_text() -> impl Strategy<Value = String> {
    let pieces = [
        "1",
        "2 V",
        "0.5",
        "rail",
        "drop",
        "sink",
        "max",
        "sqrt",
        "(",
        ")",
        ",",
        "=",
        "+",
        "-",
        "*",
        "/",
        "^",
        "^2",
        " ",
        "e",
        "%",
        "\u{b5}F",
        ".",
        "\u{96fb}",
        "if ",
        " then ",
        " else ",
        "<",
        ">=",
        "if 1 < 2 then ",
        "mean",
        "ln",
        "stored_energy",
    ];
    prop::collection::vec(prop::sample::select(pieces.to_vec()), 0..40).prop_map(|p| p.concat())
}

proptest! {
    #[test]
    fn no_text_makes_it_panic(text in prop_oneof![any::<String>(), likely_text()]) {
        match Formula::parse(&text) {
            Err(error) => prop_assert!(text.get(error.at).is_some()),
            Ok(formula) => match (formula.dimension(&measures), formula.evaluate(&bench)) {
                (dimension, Err(error)) => {
                    prop_assert!(text.get(error.at.clone()).is_some());
                    // What the check before the run lets through fits together in the run.
                    prop_assert!(dimension.is_err() || !error.to_string().contains("can't be"));
                }
                (dimension, Ok(result)) => {
                    if let Ok(dimension) = dimension {
                        prop_assert_eq!(dimension, result.dimension);
                    }
                    prop_assert!(result.to_f64().is_finite());
                }
            },
        }
    }
}
