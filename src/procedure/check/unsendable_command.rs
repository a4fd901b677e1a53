//! A command that would not arrive as one message.

use super::Check;
use super::commands::each;
use crate::diagnostic::{Finding, clean};
use crate::procedure::BenchFile;

pub(super) const CHECK: Check =
    Check::new("BEN005", "unsendable-command", include_str!("unsendable_command.md")).of_bench(run);

fn run(bench: &BenchFile) -> Vec<Finding> {
    let connections =
        bench.instruments.iter().filter_map(|(_, instrument)| instrument.connection.as_ref());
    let commands = connections.flat_map(|connection| each(&connection.dialect));
    let unsendable = commands.filter_map(|command| {
        let text = &command.text.value;
        let message = if text.chars().any(char::is_control) {
            format!("`{}` holds a control character: {}", command.key, clean(text))
        } else if text.trim().is_empty() && command.key != "next_error" {
            format!("`{}` is empty", command.key)
        } else {
            return None;
        };
        let found = CHECK.error(message).at(command.text.span);
        Some(found.help("write one command on one line; `terminator` says what is sent after it"))
    });
    unsendable.collect()
}
