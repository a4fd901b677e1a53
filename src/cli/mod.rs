//! The program: arguments, verbs, exit codes.
//!
//! May use: every room. Not pure.
//!
//! Always true: a verb decides nothing that a room can decide, and each end of the program has its own exit code.

mod cores;
mod exit;
mod misused;
mod verb;

use std::ffi::{OsStr, OsString};

use clap::{Command, CommandFactory, Parser};

pub use exit::Exit;
use verb::{VERBS, Verb};

use crate::shell::fault::Fault;

/// What the program is called by.
const NAME: &str = "wattstep";

/// Walks you through the first power after a repair, one judged step at a time, and keeps the record
///
/// It advises; you decide. Follow local codes, work within your licence and competence, and have someone in reach.
/// Without a command it asks what to do.
#[derive(Debug, Parser)]
#[command(name = NAME, version, max_term_width = 100)]
struct Program {}

/// Runs the program with these arguments, the first being its name, and gives its exit code.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> Exit {
    let arguments: Vec<_> = arguments.into_iter().collect();
    match chosen(&arguments) {
        Ok(result) => result.unwrap_or_else(|fault| Exit::from(fault.tell())),
        Err(error) => {
            misused::tell(&error);
            if error.use_stderr() { Exit::Usage } else { Exit::Finished }
        }
    }
}

/// Runs the verb that the arguments name; without one it asks what to do.
fn chosen(arguments: &[OsString]) -> Result<Result<Exit, Fault>, clap::Error> {
    let named = arguments.get(1);
    let matches = command(named.map(OsString::as_os_str)).try_get_matches_from(arguments)?;
    let verb = matches.subcommand().and_then(|(name, matches)| Some((Verb::find(name)?, matches)));
    match verb {
        Some((verb, matches)) => verb.run(matches),
        None => Ok(verb::start::run()),
    }
}

/// The program's commands. Where the first argument names one, only that one is set up: setting up all of them takes longer
/// than most of them run.
fn command(named: Option<&OsStr>) -> Command {
    let named = named.and_then(OsStr::to_str).and_then(Verb::find);
    let verbs = named.map_or(&VERBS[..], std::slice::from_ref);
    Program::command().subcommands(verbs.iter().map(Verb::command))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_commands_are_sound() {
        command(None).debug_assert();
        for verb in &VERBS {
            assert!(command(Some(OsStr::new(verb.name))).find_subcommand(verb.name).is_some());
        }
    }
}
