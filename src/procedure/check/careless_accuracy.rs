//! A meter that promises next to nothing: a part of the reading without its percent sign, most of the time.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::BenchFile;
use crate::quantity::{Decimal, Dimension, Quantity, Unit};
use crate::window::Accuracy;

pub(super) const CHECK: Check =
    Check::new("BEN022", "careless-accuracy", include_str!("careless_accuracy.md")).of_bench(run);

/// What no meter on a bench is worse than, as a part of its reading or range (common practice, no source).
const PART_MAX: f64 = 0.2;

fn run(bench: &BenchFile) -> Vec<Finding> {
    let functions =
        bench.instruments.iter().flat_map(|(_, instrument)| instrument.functions.iter());
    let careless = functions.flat_map(|(name, ranges)| {
        let told = ranges.iter().flat_map(careless);
        told.map(|(message, help)| {
            CHECK.warning(format!("`{}`: {message}", name.value)).at(name.span).help(help)
        })
    });
    careless.collect()
}

fn careless(accuracy: &Accuracy) -> Vec<(String, String)> {
    let parts = [("of_reading", accuracy.of_reading), ("of_range", accuracy.of_range)];
    let parts = parts.into_iter().filter(|(_, part)| part.dimension == Dimension::NONE);
    parts.filter(|(_, part)| part.to_f64() > PART_MAX).map(|(key, part)| told(key, &part)).collect()
}

fn told(key: &str, part: &Quantity) -> (String, String) {
    let percent = |number: Decimal| match Unit::parse("%") {
        Ok(unit) => format!("{} %", unit.from_base(number)),
        Err(_) => number.to_string(),
    };
    let message = format!("`{key}` is {}", percent(part.value));
    let help = format!("a number by itself is the part: did you mean `{key}: {} %`?", part.value);
    (message, help)
}
