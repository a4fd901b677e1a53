//! `run`: a procedure from its start.

use std::path::PathBuf;

use super::Records;
use crate::cli::exit::Exit;
use crate::shell::documents;
use crate::shell::fault::Fault;
use crate::sitting::hiding::PracticeOptions;
use crate::sitting::opening;
use crate::sitting::rehearsal::RehearsalOptions;
use crate::sitting::staff::Staff;

/// Run a procedure on one piece of equipment
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// A procedure file, or the name of a bundled procedure
    procedure: PathBuf,
    /// Facts about the equipment; what it lacks is asked for
    #[arg(long, value_name = "FILE")]
    equipment: Option<PathBuf>,
    /// Facts about the bench: its instruments, how to reach them and how well they measure; `simulated` for a rehearsal
    #[arg(long, value_name = "FILE")]
    bench: Option<PathBuf>,
    /// The shop's people: who may do what, and who has to be there
    #[arg(long, value_name = "FILE")]
    people: Option<PathBuf>,
    /// What is wrong with the equipment on the simulated bench: a fault of its model, or with --circuit one of a part, as Q7:ce-short
    #[arg(long, value_name = "NAME")]
    fault: Option<String>,
    /// The circuit that the simulated bench stands on: a circuit file, or the name of a bundled procedure that has one (needs ngspice)
    #[arg(long, value_name = "FILE")]
    circuit: Option<PathBuf>,
    /// The model of the equipment on the simulated bench, for a procedure of your own
    #[arg(long, value_name = "FILE")]
    model: Option<PathBuf>,
    /// Hide a fault of the circuit that you have to find, on the simulated bench; you read the circuit as you like
    #[arg(long, conflicts_with = "fault", requires = "circuit")]
    practice: bool,
    /// The same number hides the same fault of the same files and records
    #[arg(long, value_name = "N", requires = "practice")]
    seed: Option<u64>,
    /// Write down here what the simulated instruments are told
    #[arg(long, value_name = "FILE")]
    simulated_log: Option<PathBuf>,
    /// Who is at the bench
    #[arg(long, value_name = "NAME")]
    operator: Option<String>,
    #[command(flatten)]
    records: Records,
    /// Answers from a file instead of a person; the record says so
    #[arg(long, value_name = "FILE")]
    answers: Option<PathBuf>,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let mut files = opening::files(
        documents::procedure(&arguments.procedure)?,
        arguments.equipment.as_deref(),
        arguments.bench.as_deref(),
        RehearsalOptions {
            fault: arguments.fault.as_deref(),
            model: arguments.model.as_deref(),
            circuit: arguments.circuit.as_deref(),
            log: arguments.simulated_log.as_deref(),
            practice: arguments
                .practice
                .then_some(PracticeOptions { seed: arguments.seed, repairs: &[] }),
        },
    )?;
    files.staff = arguments.people.as_deref().map(Staff::read).transpose()?;
    let answers = arguments.answers.as_deref();
    let mut answering = opening::answering(arguments.operator.as_deref(), answers)?;
    answering.fit(&files)?;
    let log = arguments.simulated_log.as_deref();
    opening::start(files, &arguments.records.records, answering, log).map(Exit::from)
}
