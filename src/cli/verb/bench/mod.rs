//! `bench`: the instruments of a bench file, proved to be as the file says.

mod asking;
mod proved;
mod survey;
#[cfg(test)]
mod tests;

use std::path::PathBuf;

use chrono::Local;

use super::{OutputFormat, print_json};
use crate::bench::instruments::{Instruments, SimulatedAddresses};
use crate::bench::{Bench as _, trip};
use crate::cli::exit::Exit;
use crate::diagnostic::clean_lines;
use crate::procedure::{BenchFile, Day};
use crate::shell::fault::Fault;
use crate::shell::{documents, file, terminal};
use asking::Asking;
use proved::BenchProof;
use survey::Survey;

/// Prove that the instruments of a bench are as its file says
///
/// All outputs are switched off first. What switches an output on is asked for before, with the equipment disconnected;
/// without a terminal and without answers it is left out.
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// The bench file
    bench: PathBuf,
    /// Answers from a file instead of a person
    #[arg(long, value_name = "FILE")]
    answers: Option<PathBuf>,
    /// How to print the results
    #[arg(long, value_enum, default_value_t)]
    format: OutputFormat,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let document = file::read(&arguments.bench)?;
    let bench = documents::sound_bench(&document)?;
    let mut asking = Asking::new(arguments.answers.as_deref())?;
    let (proved, interrupted) = if bench.is_connected() {
        let taken = Instruments::take_over(&bench, &SimulatedAddresses::default());
        // The same trip as a run has: a signal or a panic switches off whatever is waited for.
        trip::on_panic(&taken.instruments.trip());
        Survey::new(&bench, today(), taken, &mut asking).carry_out()
    } else {
        (Vec::new(), None)
    };
    drop(asking);
    match arguments.format {
        OutputFormat::Text => terminal::out(&text(&bench, &proved, interrupted.is_none())),
        OutputFormat::Json => print_json(&proved.iter().map(BenchProof::json).collect()),
    }
    if let Some(signal) = &interrupted {
        terminal::err(&format!("left unfinished: {signal}; all outputs were told to go off\n"));
    }
    Ok(proved::exit(&proved, interrupted.is_none()))
}

fn text(bench: &BenchFile, proved: &[BenchProof], is_whole: bool) -> String {
    if proved.is_empty() && is_whole {
        let name = &bench.bench.value;
        return clean_lines(&format!("No instrument is connected on {name}: nothing to prove.\n"));
    }
    proved::sheet(proved, is_whole, terminal::out_style())
}

fn today() -> Day {
    Day::from(Local::now().date_naive())
}
