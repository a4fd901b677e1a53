//! `work-out`: bench arithmetic without a procedure.
//!
//! May use what `cli` may. A new topic is a file with its `Arguments`, its `mod`, and a line in [`TOPICS`]; what it works
//! out is in `physics` or `window`, with a page of explanation beside it.
//!
//! Always true: the number that matters stands first, text and JSON come from one answer, and a topic explains itself
//! without being given any value.

mod answer;
mod bias;
mod choice;
mod damping;
mod diode;
mod discharge;
mod explanation;
mod fuse;
mod hazard;
mod lamp;
mod leakage;
mod level;
mod mains;
mod meter;
mod option;
mod rail;
mod ramp;
mod residual_current;
mod resistor;
mod safety_limits;
mod stored_energy;
mod topic;
mod topology;
mod transformer;

use clap::Command;
use serde_json::Value;

use super::{OutputFormat, print_json};
use crate::cli::exit::Exit;
use crate::physics;
use crate::report::Sheet;
use crate::shell::fault::Fault;
use crate::shell::terminal;
use crate::window;
use answer::Answer;
use topic::{Chosen, TopicEntry};

/// Every topic, in the order of names.
const TOPICS: [TopicEntry; 15] = [
    TopicEntry::of::<bias::Arguments>(
        "bias",
        "Idle current of an output stage from the drop across its emitter or source resistors, and the heat of it",
        physics::output_stage::EXPLANATION,
    ),
    TopicEntry::of::<damping::Arguments>(
        "damping",
        "Output resistance and damping factor of an amplifier, from one reading without and one with its load",
        physics::damping::EXPLANATION,
    ),
    TopicEntry::of::<discharge::Arguments>(
        "discharge",
        "How long stored charge takes to go, or which resistor brings it down in time",
        physics::discharge::EXPLANATION,
    ),
    TopicEntry::of::<fuse::Arguments>(
        "fuse",
        "What a fuse must do at a current, by the standard it is made to",
        physics::fuse::EXPLANATION,
    ),
    TopicEntry::of::<lamp::Arguments>(
        "lamp",
        "How much of the mains a series lamp takes, how it glows, and which one to fit",
        physics::lamp::EXPLANATION,
    ),
    TopicEntry::of::<leakage::Arguments>(
        "leakage",
        "Leakage to touchable metal, from the hot or the cold check of a service manual",
        physics::leakage_network::EXPLANATION,
    ),
    TopicEntry::of::<level::Arguments>(
        "level",
        "Volts, dBu, dBV and watts of a signal, each from any other",
        physics::level::EXPLANATION,
    ),
    TopicEntry::of::<mains::Arguments>(
        "mains",
        "What the mains may be by its standard, and how far that is from a reading or a nameplate",
        physics::mains::EXPLANATION,
    ),
    TopicEntry::of::<meter::Arguments>(
        "meter",
        "How far a meter may deviate at a reading, from the accuracy in its data sheet",
        window::ACCURACY_EXPLANATION,
    ),
    TopicEntry::of::<rail::Arguments>(
        "rail",
        "Rail volts, ripple and winding current behind a rectifier with a reservoir capacitor",
        physics::rectifier::EXPLANATION,
    ),
    TopicEntry::of::<ramp::Arguments>(
        "ramp",
        "Which current limit a ramp needs, or how long charging takes at a limit",
        physics::ramp::EXPLANATION,
    ),
    TopicEntry::of::<residual_current::Arguments>(
        "residual-current",
        "Whether a residual-current device trips at a leakage current, and how soon it has to",
        physics::residual_current::EXPLANATION,
    ),
    TopicEntry::of::<resistor::Arguments>(
        "resistor",
        "A resistor's limits from its bands, its mark or its value, and what a reading in circuit says about it",
        physics::resistor::EXPLANATION,
    ),
    TopicEntry::of::<safety_limits::Arguments>(
        "safety-limits",
        "Limits of the electrical safety check after a repair, by one country's rules",
        physics::safety_limits::EXPLANATION,
    ),
    TopicEntry::of::<stored_energy::Arguments>(
        "stored-energy",
        "What a charged capacitor can do to a person, by published thresholds",
        physics::stored_energy::EXPLANATION,
    ),
];

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
    format: OutputFormat,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let Chosen { entry, topic, how } = &arguments.chosen;
    let answer = topic.as_ref().map(|topic| topic.work_out()).transpose()?;
    let page = how.explain.then_some(entry.page);
    match how.format {
        OutputFormat::Text => {
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
        OutputFormat::Json => print_json(&json(entry, answer.as_ref(), page)),
    }
    Ok(Exit::Finished)
}

fn json(entry: &TopicEntry, answer: Option<&Answer>, page: Option<&str>) -> Value {
    let named = [
        ("topic", Some(Value::from(entry.name))),
        ("values", answer.map(Answer::values_json)),
        ("remarks", answer.map(Answer::remarks_json)),
        ("explanation", page.map(explanation::json)),
    ];
    let given = named.into_iter().filter_map(|(name, value)| Some((name.to_owned(), value?)));
    Value::Object(given.collect())
}

/// Adds every topic to a command.
fn with_topics(command: Command) -> Command {
    TOPICS.iter().fold(command, |command, entry| command.subcommand(entry.command()))
}

#[cfg(test)]
mod tests;
