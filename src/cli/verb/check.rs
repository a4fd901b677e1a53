//! `check`: findings in procedures, before anyone relies on them.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::path::PathBuf;
use std::thread;

use super::{Format, print_json};
use crate::cli::exit::Exit;
use crate::procedure::check;
use crate::shell::documents::{self, Beside, Found};
use crate::shell::fault::Fault;
use crate::shell::{file, terminal};

/// Check procedures, bench files and people files for mistakes
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// Procedure files, names of bundled procedures, or people files
    #[arg(required_unless_present_any = ["explain", "bench"], value_name = "FILE")]
    procedures: Vec<PathBuf>,
    /// Facts about the equipment, so that limits can be worked out
    #[arg(long, value_name = "FILE")]
    equipment: Option<PathBuf>,
    /// Facts about the bench: checked by itself, and so that meters can be found too coarse
    #[arg(long, value_name = "FILE")]
    bench: Option<PathBuf>,
    /// Explain a finding by its code
    #[arg(long, value_name = "CODE", conflicts_with = "procedures")]
    explain: Option<String>,
    /// How to print the findings
    #[arg(long, value_enum, default_value_t)]
    format: Format,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    if let Some(code) = &arguments.explain {
        return explain(code);
    }
    let equipment = arguments.equipment.as_deref().map(file::read).transpose()?;
    let bench = arguments.bench.as_deref().map(file::read).transpose()?;
    let beside = (equipment.as_ref(), bench.as_ref());
    let mut all = findings_in_all(&arguments.procedures, beside)?;
    if let Some(document) = &bench {
        // It is looked at with each procedure, and shown once.
        all.retain(|found| found.document.shown != document.shown);
        all.extend(documents::of_bench(document));
    }
    match arguments.format {
        Format::Text => {
            all.iter().for_each(|found| terminal::out(&found.text()));
            let alone = usize::from(arguments.procedures.is_empty());
            terminal::out(&summary(arguments.procedures.len() + alone, &all));
        }
        Format::Json => print_json(&all.iter().flat_map(Found::json).collect()),
    }
    Ok(if all.is_empty() { Exit::Finished } else { Exit::Findings })
}

/// Checks the files on all cores; what is found keeps the order of the files.
fn findings_in_all(paths: &[PathBuf], beside: Beside<'_>) -> Result<Vec<Found>, Fault> {
    let check = |paths: &[PathBuf]| -> Result<Vec<Found>, Fault> {
        let procedures = paths.iter().map(|path| documents::procedure(path));
        let found = procedures.map(|document| {
            let document = document?;
            let is_people = document.file.text.lines().any(|line| line.starts_with("people:"));
            let of_people = || documents::of_people(&document).map(Vec::from_iter);
            if is_people { of_people() } else { Ok(documents::findings(&document, beside)) }
        });
        Ok(found.collect::<Result<Vec<_>, Fault>>()?.into_iter().flatten().collect())
    };
    let cores = thread::available_parallelism().map_or(1, NonZero::get);
    thread::scope(|scope| {
        let shares = paths.chunks(paths.len().div_ceil(cores).max(1));
        let workers: Vec<_> = shares.map(|share| scope.spawn(move || check(share))).collect();
        let mut all = Vec::new();
        for worker in workers {
            all.extend(worker.join().unwrap_or_else(|panic| resume_unwind(panic))?);
        }
        Ok(all)
    })
}

fn explain(code: &str) -> Result<Exit, Fault> {
    let page = check::page(&code.to_uppercase()).ok_or_else(|| {
        Fault::usage(format!("there is no finding {code}"))
            .help("codes look like ORD003 and stand before each finding")
    })?;
    terminal::out(page);
    Ok(Exit::Finished)
}

fn summary(files: usize, all: &[Found]) -> String {
    let count: usize = all.iter().map(|found| found.findings.len()).sum();
    let files = if files == 1 { "1 file".to_owned() } else { format!("{files} files") };
    match count {
        0 => format!("{files} checked, nothing found\n"),
        1 => format!("{files} checked, 1 finding; `wattstep check --explain CODE` says more\n"),
        n => format!("{files} checked, {n} findings; `wattstep check --explain CODE` says more\n"),
    }
}
