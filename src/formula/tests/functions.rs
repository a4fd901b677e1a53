//! The functions of the table.

use super::*;

#[test]
fn functions_of_one_number() {
    for (text, value) in [
        ("ln(ratio)", 2_f64.ln()),
        ("ln(value = 100 %)", 0.0),
        ("log10(1000)", 3.0),
        ("exp(-1)", (-1_f64).exp()),
        ("exp(0.55 * ln(rail / 31.5 V))", 2_f64.powf(0.55)),
    ] {
        let result = evaluate(text).unwrap();
        assert_eq!(result.dimension, Dimension::NONE, "{text}");
        assert!((result.to_f64() - value).abs() < 1e-11, "{text}: {result}");
    }
}

#[test]
fn levels_and_ratios() {
    for (text, expected) in [
        ("db_voltage(10)", "20 dB"),
        ("db_power(100)", "20 dB"),
        ("db_power(ratio = 50 %)", "-3.01029995664 dB"),
        ("voltage_ratio(20 dB)", "10"),
        ("power_ratio(level = -3 dB)", "0.501187233627"),
        ("voltage_ratio(gain)", "19.9526231497"),
        ("gain - db_voltage(rail / 6.3 V)", "6 dB"),
    ] {
        assert_eq!(evaluate(text).unwrap(), quantity(expected), "{text}");
    }
}

#[test]
fn functions_of_a_list() {
    for (text, expected) in [
        ("mean(drop)", "11.5 mV"),
        ("mean(1 V, 2 V)", "1.5 V"),
        ("mean(sink, room)", "38 degC"),
        ("spread(drop)", "1.5 mV"),
        ("spread(sink, room)", "32 K"),
        ("spread(rail)", "0 V"),
        ("spread(gain, 20 dB)", "6 dB"),
        ("ratio_of_extremes(12 mV, 10 mV, 11 mV)", "1.2"),
        ("ratio_of_extremes(-50 V, -40 V)", "1.25"),
    ] {
        assert_eq!(evaluate(text).unwrap(), quantity(expected), "{text}");
    }
}

// R C ln(V0/V) and C V^2 / 2, worked independently with a numerical library.
#[test]
fn functions_of_physics() {
    assert_eq!(evaluate("stored_energy(reservoir, rail)").unwrap(), quantity("19.845 J"));
    let text = "discharge_time(reservoir, from = rail, to = 1 V, resistance = 100 ohm)";
    let time = evaluate(text).unwrap();
    assert_eq!(time.dimension, Dimension::TIME);
    assert!((time.to_f64() - 4.1431).abs() < 1e-4, "{time}");
}

#[test]
fn what_a_function_does_not_take_is_refused_at_its_argument() {
    for (text, pointed, message) in [
        ("ln(rail)", "rail", "a plain number or a ratio belongs here, not voltage"),
        ("exp(gain)", "gain", "not level"),
        ("db_voltage(rail)", "rail", "not voltage"),
        ("voltage_ratio(ratio)", "ratio", "a level in dB belongs here, not plain number"),
        ("mean(rail, idle_plus)", "idle_plus", "can't be compared"),
        ("ratio_of_extremes(sink, room)", "sink", "has no ratios"),
        ("ratio_of_extremes(gain, 1 dB)", "gain", "has no ratios"),
        ("stored_energy(rail, reservoir)", "rail", "`capacitance` is capacitance; voltage"),
        ("discharge_time(reservoir, load, rail, 1 A)", "1 A", "`to` is voltage; current"),
    ] {
        let checked = Formula::parse(text).unwrap().dimension(&measures).unwrap_err();
        let (found, said, _) = complaint(text, &checked);
        assert_eq!(found, pointed, "{text}: {said}");
        assert!(said.contains(message), "{text}: {said}");
        assert_eq!(evaluate(text).unwrap_err(), checked, "{text}");
    }
    for (text, pointed, message) in [
        ("ln(1 - ratio)", "1 - ratio", "above zero"),
        ("log10(0)", "0", "above zero"),
        ("db_power(0)", "0", "above zero"),
        ("exp(1000)", "exp(1000)", "no finite number"),
        ("ratio_of_extremes(1 V, -1 V)", "1 V", "all above zero"),
        ("ratio_of_extremes(0 V)", "0 V", "all above zero"),
        ("mean(drop, rail)", "drop", "3 readings"),
        ("stored_energy(reservoir)", "stored_energy(reservoir)", "without its `voltage`"),
        ("discharge_time(reservoir, load, rail, 0 V)", "reservoir", "no finite number"),
    ] {
        let error = evaluate(text).unwrap_err();
        let (found, said, _) = complaint(text, &error);
        assert_eq!(found, pointed, "{text}: {said}");
        assert!(said.contains(message), "{text}: {said}");
    }
}
