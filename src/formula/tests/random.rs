//! Random formulas: whatever does not fit together is found before the run.

use proptest::prelude::*;

use crate::formula::Formula;
use crate::quantity::{Dimension, Quantity};

/// What the names of an invented bench measure; `drop` stands for several readings.
const NAMES: [(&str, Dimension); 8] = [
    ("rail", Dimension::VOLTAGE),
    ("bias", Dimension::VOLTAGE),
    ("idle", Dimension::CURRENT),
    ("load", Dimension::RESISTANCE),
    ("reservoir", Dimension::CAPACITANCE),
    ("sink", Dimension::CELSIUS),
    ("gain", Dimension::LEVEL),
    ("share", Dimension::NONE),
];

/// What can go wrong with values that fit together. Any other error of a run is one of dimensions.
const OF_VALUES: [&str; 5] = [
    "nothing can be divided by zero",
    "this gives no finite number",
    "a negative number has no square root",
    "only a number above zero has a logarithm",
    "all above zero or all below",
];

fn measures(name: &str) -> Option<Dimension> {
    let known = NAMES.iter().find(|(known, _)| *known == name).map(|(_, dimension)| *dimension);
    known.or((name == "drop").then_some(Dimension::VOLTAGE))
}

/// Readings from round numbers, so that equal and zero ones come up.
fn readings(name: &str, values: [i8; 3]) -> Option<Vec<Quantity>> {
    let place = NAMES.iter().position(|(known, _)| *known == name).unwrap_or_default();
    let count = if name == "drop" { 3 } else { 1 };
    let values = values.iter().cycle().skip(place).take(count);
    let dimension = measures(name)?;
    values.map(|value| Quantity::from_f64(f64::from(*value), dimension)).collect()
}

fn any_formula() -> impl Strategy<Value = String> {
    let leaves = NAMES.map(|(name, _)| name).into_iter();
    let leaves: Vec<_> = leaves
        .chain(["0", "2", "0.5 V", "3 mA", "4 ohm", "20 degC", "5 K", "6 dB", "7 W", "8 ms"])
        .chain(["max(drop)", "mean(drop)", "spread(drop)", "ratio_of_extremes(drop)"])
        .collect();
    prop::sample::select(leaves).prop_map(str::to_owned).prop_recursive(4, 24, 3, |inner| {
        let one = prop::sample::select(vec![
            "-(#)",
            "(#)^2",
            "(#)^-1",
            "(#)^0",
            "abs(#)",
            "sqrt(#)",
            "ln(#)",
            "log10(#)",
            "exp(#)",
            "db_voltage(#)",
            "db_power(#)",
            "voltage_ratio(#)",
            "power_ratio(#)",
        ]);
        let two = prop::sample::select(vec![
            "(#) + (#)",
            "(#) - (#)",
            "(#) * (#)",
            "(#) / (#)",
            "# + #",
            "# - #",
            "# * #",
            "# / #",
            "max(#, #)",
            "min(#, #)",
            "spread(#, #)",
            "ratio_of_extremes(#, #)",
            "stored_energy(#, #)",
            "if # < # then 1 else 2",
        ]);
        let three = prop::sample::select(vec![
            "if # > 0 then # else #",
            "mean(#, #, #)",
            "discharge_time(reservoir, #, #, #)",
        ]);
        (prop_oneof![one, two, three], prop::array::uniform3(inner)).prop_map(|(form, parts)| {
            parts.iter().fold(form.to_owned(), |form, part| form.replacen('#', part, 1))
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 1000,
        // Most of what is put together at random does not fit, and says nothing here.
        max_global_rejects: 100_000,
        ..ProptestConfig::default()
    })]

    #[test]
    fn what_fits_before_the_run_fits_in_the_run(
        text in any_formula(),
        values in prop::array::uniform3(-3..5_i8),
    ) {
        let formula = Formula::parse(&text);
        prop_assume!(formula.is_ok());
        let formula = formula.unwrap();
        let before = formula.dimension(&measures);
        prop_assume!(before.is_ok());
        match formula.evaluate(&|name: &str| readings(name, values)) {
            Ok(result) => prop_assert_eq!(before.unwrap(), result.dimension),
            Err(error) => {
                let of_values = OF_VALUES.iter().any(|known| error.to_string().contains(known));
                prop_assert!(of_values, "{}: {}", text, error);
            }
        }
    }
}
