//! `equipment`: the files with the facts about pieces of equipment.

mod new;

use crate::cli::exit::Exit;
use crate::shell::fault::Fault;

/// Make the file with the facts about one piece of equipment
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    #[command(subcommand)]
    what: EquipmentVerb,
}

/// What is done with equipment files.
#[derive(Debug, clap::Subcommand)]
enum EquipmentVerb {
    New(new::Arguments),
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    match &arguments.what {
        EquipmentVerb::New(arguments) => new::run(arguments),
    }
}
