//! The program: arguments, the session at the bench, screens, exit codes.
//!
//! May use: every room. Not pure: files, the clock, the terminal and signals are met here and nowhere else.
//!
//! Always true: the record is written before anything is shown, a prompt takes no key that was typed ahead of it, no
//! signal handler ends the program, and every way out restores the terminal.

mod afterwards;
mod answers;
mod clock;
mod cores;
mod exit;
mod fault;
mod file;
mod front;
mod live;
mod opening;
#[cfg(test)]
mod panicking;
mod person;
mod registering;
mod rehearsal;
mod replay;
mod screen;
mod script;
mod session;
mod signal;
mod signing;
mod sources;
mod staff;
mod supervision;
mod terminal;
mod verb;

use std::ffi::OsString;

use clap::{Parser, Subcommand};

pub use exit::Exit;

/// Walks you through the first power after a repair, one judged step at a time, and keeps the record
///
/// It advises; you decide. Follow local codes, work within your licence and competence, and have someone in reach.
/// Without a command it asks what to do.
#[derive(Debug, Parser)]
#[command(version, max_term_width = 100)]
struct Arguments {
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    Run(verb::run::Arguments),
    Resume(verb::resume::Arguments),
    Check(verb::check::Arguments),
    People(verb::people::Arguments),
    Plan(verb::plan::Arguments),
    Show(verb::show::Arguments),
    Verify(verb::verify::Arguments),
    Signatures(verb::signatures::Arguments),
    Bench(verb::bench::Arguments),
    Report(verb::report::Arguments),
    Form(verb::form::Arguments),
    Records(verb::records::Arguments),
    Trend(verb::trend::Arguments),
    Affected(verb::affected::Arguments),
    Propose(verb::propose::Arguments),
    Register(verb::register::Arguments),
    Digest(verb::digest::Arguments),
    Amend(verb::amend::Arguments),
    Void(verb::void::Arguments),
    WorkOut(verb::work_out::Arguments),
}

/// Runs the program with these arguments, the first being its name, and gives its exit code.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> Exit {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            // Nothing is left to do when even this cannot be printed.
            let _ = error.print();
            return if error.use_stderr() { Exit::Usage } else { Exit::Finished };
        }
    };
    let result = match arguments.command {
        None => verb::start::run(),
        Some(Command::Run(arguments)) => verb::run::run(&arguments),
        Some(Command::Resume(arguments)) => verb::resume::run(&arguments),
        Some(Command::Check(arguments)) => verb::check::run(&arguments),
        Some(Command::People(arguments)) => verb::people::run(&arguments),
        Some(Command::Plan(arguments)) => verb::plan::run(&arguments),
        Some(Command::Show(arguments)) => verb::show::run(&arguments),
        Some(Command::Verify(arguments)) => verb::verify::run(&arguments),
        Some(Command::Signatures(arguments)) => verb::signatures::run(&arguments),
        Some(Command::Bench(arguments)) => verb::bench::run(&arguments),
        Some(Command::Report(arguments)) => verb::report::run(&arguments),
        Some(Command::Form(arguments)) => verb::form::run(&arguments),
        Some(Command::Records(arguments)) => verb::records::run(&arguments),
        Some(Command::Trend(arguments)) => verb::trend::run(&arguments),
        Some(Command::Affected(arguments)) => verb::affected::run(&arguments),
        Some(Command::Propose(arguments)) => verb::propose::run(&arguments),
        Some(Command::Register(arguments)) => verb::register::run(&arguments),
        Some(Command::Digest(arguments)) => verb::digest::run(&arguments),
        Some(Command::Amend(arguments)) => verb::amend::run(&arguments),
        Some(Command::Void(arguments)) => verb::void::run(&arguments),
        Some(Command::WorkOut(arguments)) => verb::work_out::run(&arguments),
    };
    result.unwrap_or_else(|fault| fault.show())
}
