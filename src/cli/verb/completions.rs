//! `completions`: what a shell completes on the Tab key.

use clap_complete::{Shell, generate};

use crate::cli::exit::Exit;
use crate::cli::{NAME, command};
use crate::shell::fault::Fault;
use crate::shell::terminal;

/// Write the completions of a shell, to be kept where it looks for them
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// Which shell
    #[arg(value_enum)]
    shell: Shell,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let mut script = Vec::new();
    generate(arguments.shell, &mut command(None), NAME, &mut script);
    terminal::out_bytes(&script);
    Ok(Exit::Finished)
}
