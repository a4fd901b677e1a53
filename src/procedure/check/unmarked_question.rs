//! A question of a dialect without a question mark, and a command with one.

use super::Check;
use super::commands::{each, sets_value};
use crate::diagnostic::{Finding, clean};
use crate::procedure::BenchFile;

pub(super) const CHECK: Check =
    Check::new("BEN020", "unmarked-question", include_str!("unmarked_question.md")).of_bench(run);

/// The commands beside those that set a value whose answer nobody waits for.
const TOLD: [&str; 6] = ["clear", "select", "output_on", "output_off", "feed", "disarm"];

fn run(bench: &BenchFile) -> Vec<Finding> {
    let connections =
        bench.instruments.iter().filter_map(|(_, instrument)| instrument.connection.as_ref());
    let unmarked = connections.flat_map(|connection| {
        let answers = connection.dialect.acknowledges.is_some();
        each(&connection.dialect).into_iter().filter_map(move |command| {
            let (key, text) = (command.key, &command.text.value);
            let is_marked = text.contains('?');
            let is_told = sets_value(key) || TOLD.contains(&key);
            // An error queue that an instrument lacks is asked for with nothing.
            let (message, help) = if !is_told && !is_marked && !text.trim().is_empty() {
                let message =
                    format!("`{key}` waits for an answer, and `{}` asks nothing", clean(text));
                (message, "end it with `?` if the instrument's manual does")
            } else if is_told && is_marked && key != "feed" && !answers {
                let message =
                    format!("nobody waits for the answer to `{}` in `{key}`", clean(text));
                (message, "leave the question out: its answer would be taken for the next one")
            } else {
                return None;
            };
            Some(CHECK.warning(message).at(command.text.span).help(help))
        })
    });
    unmarked.collect()
}
