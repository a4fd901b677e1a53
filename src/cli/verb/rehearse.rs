//! `rehearse`: every single fault of a circuit, or sound sets within their tolerances, taken through a procedure before it is relied on.

mod spread_told;
mod told;

use std::path::PathBuf;
use std::time::Duration;

use clap::ValueEnum;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use self::told::Heading;
use crate::circuit::coverage::{self, FaultCoverage, Spoiled};
use crate::circuit::spread::{SoundSpread, SpreadOrder, spread};
use crate::circuit::{Circuit, CircuitError};
use crate::cli::exit::Exit;
use crate::diagnostic::clean_json;
use crate::netlist::PlacedFault;
use crate::procedure::{At, Equipment, Procedure, bundled};
use crate::report::{self, Document};
use crate::shell::documents::{self, SoundCircuit};
use crate::shell::fault::Fault;
use crate::shell::{file, terminal};
use crate::sitting::opening;
use crate::sitting::rehearsal::RehearsalOptions;

/// Take every single fault of the equipment's circuit through a procedure: where it stops, and what the parts bear until then
///
/// A rehearsal on a model of the circuit, worked out by ngspice (Debian package `ngspice`): no reading of real equipment. It tells
/// which faults no step stops and which of them reach the direct mains. With `--tolerance` it takes sound sets instead, their parts
/// off within tolerance: how many are stopped for nothing, and which windows are too tight or too wide.
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
    #[arg(long, required_unless_present_any = ["fault", "pairs", "tolerance"], conflicts_with = "fault")]
    every_fault: bool,
    /// This fault alone, as Q7:ce-short; may be given more than once
    #[arg(long, value_name = "PART:FAULT")]
    fault: Vec<PlacedFault>,
    /// Two faults at once, as the circuit file names them under `pairs`
    #[arg(long)]
    pairs: bool,
    /// So many sound sets, 40 to 10000, their parts and the mains off as the circuit file says under `tolerances`
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(40..=10_000), conflicts_with_all = ["fault", "every_fault", "pairs"])]
    tolerance: Option<u32>,
    /// What these sets are drawn from: the same number draws the same sets
    #[arg(long, value_name = "NUMBER", default_value_t = 1, requires = "tolerance", conflicts_with_all = ["fault", "every_fault", "pairs"])]
    seed: u64,
    /// What to make
    #[arg(long, value_enum, default_value_t)]
    format: CoverageFormat,
    /// Where to write it, a new file; without this it goes to the screen
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// What a rehearsal of faults is made as.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum CoverageFormat {
    /// For a terminal
    #[default]
    Text,
    /// For a browser and a printer
    Html,
    /// For a program
    Json,
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
    let heading = Heading {
        title,
        procedure: procedure.procedure.value.clone(),
        equipment: equipment_name,
        circuit: circuit.file.circuit.value.clone(),
    };
    let (made, exit) = match arguments.tolerance {
        Some(draws) => {
            let (procedure, equipment, circuit) = (&procedure, &equipment, &circuit);
            let seed = arguments.seed;
            let spread =
                spread_under_bar(SpreadOrder { procedure, equipment, circuit, draws, seed })?;
            let json = spread_told::json(&heading.title, &spread)?;
            (
                Made { document: spread_told::document(&heading, &spread), json },
                spread_exit(&spread),
            )
        }
        None => {
            let faults = faults(arguments, &circuit)?;
            let coverage = covered((&procedure, &equipment), &circuit, faults)?;
            let json = told::json(&heading.title, &coverage)?;
            (Made { document: told::document(&heading, &coverage), json }, coverage_exit(&coverage))
        }
    };
    let text = match arguments.format {
        CoverageFormat::Text => report::plain(&made.document, terminal::out_style()),
        CoverageFormat::Html => report::html(&made.document),
        CoverageFormat::Json => clean_json(&format!("{:#}\n", made.json)),
    };
    file::put(arguments.out.as_deref(), text.as_bytes(), false)?;
    Ok(exit)
}

/// A rehearsal as it can be told.
struct Made {
    document: Document,
    json: serde_json::Value,
}

fn coverage_exit(coverage: &FaultCoverage) -> Exit {
    let is_unknown = coverage.faults.iter().any(|fault| fault.unknown.is_some());
    match coverage.destructive().next() {
        Some(_) => Exit::Findings,
        None if is_unknown => Exit::Failed,
        None => Exit::Finished,
    }
}

fn spread_exit(spread: &SoundSpread) -> Exit {
    if spread.too_tight().next().is_some() {
        return Exit::Findings;
    }
    if spread.lost.is_empty() { Exit::Finished } else { Exit::Failed }
}

/// What is tried: each single fault for itself, then the pairs.
fn faults(arguments: &Arguments, circuit: &Circuit) -> Result<Vec<Spoiled>, Fault> {
    let single = if arguments.every_fault {
        coverage::every_fault(circuit)
    } else {
        arguments.fault.clone()
    };
    let mut all: Vec<Spoiled> = single.into_iter().map(|fault| vec![fault]).collect();
    if arguments.pairs {
        let pairs = &circuit.file.pairs;
        if pairs.is_empty() {
            let fault = Fault::usage("the circuit file names no two faults at once");
            return Err(fault.help("name some under `pairs`: `pairs: [[Q7:ce-short, R5:open]]`"));
        }
        let both =
            |pair: &[At<PlacedFault>; 2]| pair.iter().map(|fault| fault.value.clone()).collect();
        all.extend(pairs.iter().map(both));
    }
    Ok(all)
}

/// The circuit that is named, or the one that comes with a bundled procedure.
fn circuit(arguments: &Arguments, bundled: Option<&str>) -> Result<Circuit, Fault> {
    let texts = bundled.and_then(bundled::circuit);
    let SoundCircuit { file, netlist, .. } = match (&arguments.circuit, texts) {
        (Some(path), _) => documents::circuit(path)?,
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
    faults: Vec<Spoiled>,
) -> Result<FaultCoverage, Fault> {
    let bar = bar("operating points");
    let coverage = coverage::cover(files, circuit, faults, &|done, all| {
        bar.set_length(all as u64);
        bar.set_position(done as u64);
    });
    bar.finish_and_clear();
    coverage.map_err(Fault::failed)
}

/// Works sound sets out under a bar.
fn spread_under_bar(order: SpreadOrder<'_>) -> Result<SoundSpread, Fault> {
    let bar = bar("sound sets");
    let spread = spread(order, &|done, all| {
        bar.set_length(all.into());
        bar.set_position(done.into());
    });
    bar.finish_and_clear();
    spread.map_err(|error| match error {
        CircuitError::NoTolerance => Fault::usage(error).help(
            "declare some: `tolerances: {resistor: {within: 5 %}, mains: {within: 10 %, moves: [mains]}}`",
        ),
        error => Fault::failed(error),
    })
}

/// A bar that says how many of all are done.
fn bar(what: &str) -> ProgressBar {
    let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
    let style = ProgressStyle::with_template(&format!("  {{bar:30}} {{pos}} of {{len}} {what}"));
    if let Ok(style) = style {
        bar.set_style(style.progress_chars(terminal::bar_marks(terminal::err_style())));
    }
    bar.enable_steady_tick(Duration::from_millis(200));
    bar
}
