//! `work-out`: bench arithmetic without a procedure.
//!
//! May use what `cli` may. A new topic is a file with its `Arguments`, its `mod`, and a line in [`TOPICS`]; what it works
//! out is in `physics` or `window`, with a page of explanation beside it.
//!
//! Always true: the number that matters stands first, text and JSON come from one answer, and a topic explains itself
//! without being given any value.

mod answer;
mod choice;
mod discharge;
mod explanation;
mod option;
mod topic;

use clap::Command;

use super::{Format, print_json};
use crate::cli::exit::Exit;
use crate::cli::fault::Fault;
use crate::cli::terminal;
use crate::physics;
use crate::report::Sheet;
use topic::{Chosen, Entry};

/// Every topic, in the order of names.
const TOPICS: [Entry; 1] =
    [Entry::of::<discharge::Arguments>("discharge", physics::discharge::EXPLANATION)];

/// Work out what a bench reading or a part should be, without a procedure
///
/// Values are written as on a bench: `36V`, `0.5 ohm`, `4k7`, `10 mF`, `8 %`. `wattstep work-out TOPIC --explain` says how
/// a topic is worked out and how far it can be relied on.
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    #[command(subcommand)]
    chosen: Chosen,
}

// How an answer is printed. No doc comment: it would be the help text of every topic.
#[derive(Debug, clap::Args)]
struct How {
    /// Explain it: formula, assumptions, range of validity, source
    #[arg(long)]
    explain: bool,
    /// How to print it
    #[arg(long, value_enum, default_value_t)]
    format: Format,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let Chosen { entry, topic, how } = &arguments.chosen;
    let answer = topic.as_ref().map(|topic| topic.work_out()).transpose()?;
    let page = how.explain.then_some(entry.page);
    match how.format {
        Format::Text => {
            let mut sheet = Sheet::new(terminal::out_style());
            if let Some(answer) = &answer {
                answer.write(&mut sheet);
            }
            if answer.is_some() && page.is_some() {
                sheet.gap();
            }
            if let Some(page) = page {
                explanation::write(page, &mut sheet);
            }
            terminal::out(&sheet.finish());
        }
        Format::Json => {
            let mut value = serde_json::json!({ "topic": entry.name });
            if let Some(answer) = &answer {
                value["values"] = answer.values_json();
                value["remarks"] = answer.remarks_json();
            }
            if let Some(page) = page {
                value["explanation"] = explanation::json(page);
            }
            print_json(&value);
        }
    }
    Ok(Exit::Finished)
}

/// Adds every topic to a command.
fn with_topics(command: Command) -> Command {
    TOPICS.iter().fold(command, |command, entry| command.subcommand(entry.command()))
}

#[cfg(test)]
mod tests;
