//! `plan`: every window, ceiling, ramp and wait of a run, before anything is switched on.

use std::path::PathBuf;

use serde_json::json;

use super::{OutputFormat, print_json};
use crate::cli::exit::Exit;
use crate::runner::Runner;
use crate::runner::plan::Plan;
use crate::shell::documents;
use crate::shell::fault::Fault;
use crate::shell::terminal;
use crate::sitting::opening::{self, Files};
use crate::sitting::rehearsal::RehearsalOptions;
use crate::sitting::screen;

/// Show every window, ceiling, ramp and wait of a run before anything is switched on
///
/// Each with the formula as written, the values in it and what comes out. Nothing is asked: what a missing fact leaves open
/// is shown as open, and the fact is named.
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// A procedure file, or the name of a bundled procedure
    procedure: PathBuf,
    /// Facts about the equipment
    #[arg(long, value_name = "FILE")]
    equipment: Option<PathBuf>,
    /// Facts about the bench: which instrument takes which reading, and how well; `simulated` for a rehearsal
    #[arg(long, value_name = "FILE")]
    bench: Option<PathBuf>,
    /// How to print it
    #[arg(long, value_enum, default_value_t)]
    format: OutputFormat,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let files = opening::files(
        documents::procedure(&arguments.procedure)?,
        arguments.equipment.as_deref(),
        arguments.bench.as_deref(),
        RehearsalOptions::default(),
    )?;
    let (title, equipment) = (files.title(), files.equipment_name());
    let plan = plan(files);
    match arguments.format {
        OutputFormat::Text => {
            let style = terminal::out_style();
            terminal::out(&screen::plan(&title, equipment.as_deref(), &plan, style));
        }
        OutputFormat::Json => print_json(&json!({
            "title": title,
            "equipment": equipment,
            "plan": serde_json::to_value(&plan).map_err(Fault::failed)?,
        })),
    }
    Ok(match () {
        () if !plan.errors.is_empty() => Exit::Failed,
        () if !plan.missing.is_empty() => Exit::Findings,
        () => Exit::Finished,
    })
}

fn plan(files: Files) -> Plan {
    let equipment = files.equipment.map(|(_, equipment)| equipment);
    let bench = files.bench.map(|(_, bench_file)| bench_file);
    Runner::new(files.procedure.1, equipment).on_bench(bench).plan()
}
