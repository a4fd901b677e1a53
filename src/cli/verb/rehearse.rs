//! `rehearse`: every single fault of a circuit taken through a procedure, before the procedure is relied on.

mod told;

use std::path::PathBuf;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::{OutputFormat, print_json};
use crate::circuit::coverage::{self, Circuit, FaultCoverage};
use crate::cli::exit::Exit;
use crate::netlist::PlacedFault;
use crate::procedure::{Equipment, Procedure, bundled};
use crate::shell::documents;
use crate::shell::fault::Fault;
use crate::shell::terminal;
use crate::sitting::opening;
use crate::sitting::rehearsal::RehearsalOptions;

/// Take every single fault of the equipment's circuit through a procedure: where it stops, and what the parts bear until then
///
/// A rehearsal on a model of the circuit, worked out by ngspice (Debian package `ngspice`): no reading of real equipment. It tells
/// which faults no step stops and which of them reach the direct mains.
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// A procedure file, or the name of a bundled procedure
    procedure: PathBuf,
    /// What the equipment's netlist stands for; without it that of the bundled procedure
    #[arg(long, value_name = "FILE")]
    circuit: Option<PathBuf>,
    /// Facts about the equipment; without it those of the bundled procedure
    #[arg(long, value_name = "FILE")]
    equipment: Option<PathBuf>,
    /// Every fault that the parts have by their kinds, each for itself
    #[arg(long, required_unless_present = "fault", conflicts_with = "fault")]
    every_fault: bool,
    /// This fault alone, as Q7:ce-short; may be given more than once
    #[arg(long, value_name = "PART:FAULT")]
    fault: Vec<PlacedFault>,
    /// How to print it
    #[arg(long, value_enum, default_value_t)]
    format: OutputFormat,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let simulated = PathBuf::from("simulated");
    let name = documents::procedure(&arguments.procedure)?;
    let bundled = name.shown.strip_suffix(" (bundled)").map(str::to_owned);
    // The bench of rehearsals brings the bundled equipment with it.
    let bench = bundled.is_some().then_some(simulated.as_path());
    let files =
        opening::files(name, arguments.equipment.as_deref(), bench, RehearsalOptions::default())?;
    let (title, equipment_name) = (files.title(), files.equipment_name());
    let (_, procedure) = files.procedure;
    let Some((_, equipment)) = files.equipment else {
        return Err(Fault::usage("windows are worked out from the facts of an equipment file")
            .help("give --equipment FILE with your own procedure"));
    };
    let circuit = circuit(arguments, bundled.as_deref())?;
    let faults = if arguments.every_fault {
        coverage::every_fault(&circuit)
    } else {
        arguments.fault.clone()
    };
    let coverage = covered((&procedure, &equipment), &circuit, faults)?;
    match arguments.format {
        OutputFormat::Text => {
            let heading = [title, equipment_name.unwrap_or_default(), circuit.file.circuit.value];
            terminal::out(&told::text(&heading, &coverage, terminal::out_style()));
        }
        OutputFormat::Json => print_json(&told::json(&title, &coverage)?),
    }
    let is_unknown = coverage.faults.iter().any(|fault| fault.unknown.is_some());
    Ok(match coverage.destructive().next() {
        Some(_) => Exit::Findings,
        None if is_unknown => Exit::Failed,
        None => Exit::Finished,
    })
}

/// The circuit that is named, or the one that comes with a bundled procedure.
fn circuit(arguments: &Arguments, bundled: Option<&str>) -> Result<Circuit, Fault> {
    let texts = bundled.and_then(bundled::circuit);
    let (file, netlist) = match (&arguments.circuit, texts) {
        (Some(path), _) => documents::sound_circuit(path)?,
        (None, Some(texts)) => documents::bundled_circuit(texts)?,
        (None, None) => {
            let fault = Fault::usage("no circuit of this equipment is known");
            return Err(fault.help("name one with --circuit FILE"));
        }
    };
    Ok(Circuit { file, netlist })
}

/// Works the faults out under a bar that says how far it is.
fn covered(
    files: (&Procedure, &Equipment),
    circuit: &Circuit,
    faults: Vec<PlacedFault>,
) -> Result<FaultCoverage, Fault> {
    let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
    let style = ProgressStyle::with_template("  {bar:30} {pos} of {len} operating points");
    if let Ok(style) = style {
        let is_ascii = terminal::err_style().ascii;
        bar.set_style(style.progress_chars(if is_ascii { "=>-" } else { "█▌░" }));
    }
    bar.enable_steady_tick(Duration::from_millis(200));
    let coverage = coverage::cover(files, circuit, faults, &|done, all| {
        bar.set_length(all as u64);
        bar.set_position(done as u64);
    });
    bar.finish_and_clear();
    coverage.map_err(Fault::failed)
}
