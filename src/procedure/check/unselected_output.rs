//! Several outputs that no command tells apart.

use super::Check;
use super::commands::each;
use crate::diagnostic::Finding;
use crate::procedure::{BenchFile, Instrument, Protection, Role};
use crate::quantity::Quantity;

pub(super) const CHECK: Check =
    Check::new("BEN003", "unselected-output", include_str!("unselected_output.md")).of_bench(run);

/// What an output that is switched is told and asked.
const SWITCHED: &[&str] = &["output_on", "output_off", "output_state"];

/// What an output of a supply is told and asked beside that, whatever else it can.
const SUPPLIED: &[&str] = &[
    "set_voltage",
    "voltage_set",
    "set_current",
    "current_set",
    "measure_voltage",
    "measure_current",
];

/// What an output is told and asked whose own protections are set.
const OVER_VOLTAGE: &[&str] = &["set_over_voltage", "over_voltage_set"];
const OVER_CURRENT: &[&str] = &["set_over_current", "over_current_set"];

fn run(bench: &BenchFile) -> Vec<Finding> {
    let instruments = bench.instruments.iter().filter_map(|(name, instrument)| {
        let dialect = &instrument.connection.as_ref()?.dialect;
        let has_several = instrument.channels.iter().nth(1).is_some();
        if !has_several || dialect.select.is_some() {
            return None;
        }
        let named = each(dialect);
        let names_output = |key: &str| {
            named
                .iter()
                .any(|command| command.key == key && command.text.value.contains("{number}"))
        };
        let supplied = if instrument.role == Role::MainsSwitch { &[] } else { SUPPLIED };
        let missing = SWITCHED.iter().chain(supplied).chain(protecting(instrument));
        let missing = missing.copied().find(|key| !names_output(key))?;
        let message = format!("nothing tells the outputs of `{}` apart in `{missing}`", name.value);
        let found = CHECK.error(message).at(name.span);
        Some(
            found
                .help("add `select` with `{number}` to the dialect, or `{number}` to each command"),
        )
    });
    instruments.collect()
}

fn protecting(instrument: &Instrument) -> impl Iterator<Item = &'static &'static str> {
    let is_set = |of: fn(Protection) -> Option<Quantity>| {
        instrument.channels.iter().any(|(_, channel)| of(channel.protection).is_some())
    };
    let voltage = if is_set(|protection| protection.over_voltage) { OVER_VOLTAGE } else { &[] };
    let current = if is_set(|protection| protection.over_current) { OVER_CURRENT } else { &[] };
    voltage.iter().chain(current)
}
