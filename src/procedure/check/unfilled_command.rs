//! A command without the place for its number, or with a place that nothing fills.

use super::Check;
use super::commands::{DialectCommand, each, is_per_output, sets_value};
use crate::diagnostic::Finding;
use crate::procedure::{BenchFile, fill_value};

pub(super) const CHECK: Check =
    Check::new("BEN004", "unfilled-command", include_str!("unfilled_command.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let connections =
        bench.instruments.iter().filter_map(|(_, instrument)| instrument.connection.as_ref());
    let commands = connections.flat_map(|connection| each(&connection.dialect));
    commands.filter_map(|command| finding(&command)).collect()
}

fn finding(command: &DialectCommand<'_>) -> Option<Finding> {
    let DialectCommand { key, text } = command;
    let wanted = match *key {
        "select" => &["{number}"][..],
        key if sets_value(key) => &["{value"],
        _ => &[],
    };
    let lacks = wanted.iter().find(|place| !text.contains(**place));
    let mut rest = text.value.clone();
    if sets_value(key) {
        rest = fill_value(&rest, 1.0, "1").unwrap_or(rest);
    }
    if is_per_output(key) {
        rest = rest.replace("{number}", "");
    }
    let message = match lacks {
        Some(place) => format!("`{key}` has no `{}}}`", place.trim_end_matches('}')),
        None if rest.contains(['{', '}']) => format!("`{key}` has a place that nothing fills"),
        None => return None,
    };
    let help = "`{value}` stands for the number that is set, or `{value:05.2}` to a width and decimals; `{number}` for the number of the output";
    Some(CHECK.error(message).at(text.span).help(help))
}
