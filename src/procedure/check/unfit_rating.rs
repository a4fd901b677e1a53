//! A rating of an output that is of the wrong kind, or not above zero.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::{At, BenchFile, Channel};
use crate::quantity::{Dimension, Quantity};

pub(super) const CHECK: Check =
    Check::new("BEN002", "unfit-rating", include_str!("unfit_rating.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let outputs = bench.instruments.iter().flat_map(|(_, instrument)| instrument.channels.iter());
    outputs.flat_map(|(name, channel)| of_output(name, channel)).collect()
}

fn of_output(name: &At<String>, channel: &Channel) -> Vec<Finding> {
    let ratings = [
        ("voltage_max", Some(channel.voltage_max), Dimension::VOLTAGE),
        ("current_max", Some(channel.current_max), Dimension::CURRENT),
        ("voltage_step", channel.voltage_step, Dimension::VOLTAGE),
        ("current_step", channel.current_step, Dimension::CURRENT),
        ("known_load", channel.known_load, Dimension::RESISTANCE),
    ];
    let unfit = |dimension: Dimension, rating: &Quantity| {
        rating.dimension != dimension || rating.to_f64() <= 0.0
    };
    let ratings = ratings.into_iter().filter_map(|(key, rating, dimension)| {
        rating.filter(|rating| unfit(dimension, rating))?;
        let message =
            format!("`{key}` of output `{}` is no {} above 0", name.value, dimension.name());
        Some(CHECK.error(message).at(name.span).help("copy it from the data sheet, with its unit"))
    });
    ratings.collect()
}
