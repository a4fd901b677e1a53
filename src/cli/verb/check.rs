//! `check`: findings in the files that people write, before anyone relies on them.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::path::PathBuf;
use std::thread;

use super::{OutputFormat, print_json};
use crate::cli::exit::Exit;
use crate::procedure::{FileKind, check, kind_of};
use crate::shell::documents::{self, FilesBeside};
use crate::shell::fault::Fault;
use crate::shell::file::NamedFile;
use crate::shell::file_findings::FileFindings;
use crate::shell::{file, terminal};
use crate::sitting::rehearsal;

/// Check the files of a shop for mistakes: procedures, equipment, bench, people, answers, models, circuits
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// Files of any kind, each known by its own key, or names of bundled procedures
    #[arg(required_unless_present_any = ["explain", "bench"], value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Facts about the equipment, so that limits can be worked out and models tried
    #[arg(long, value_name = "FILE")]
    equipment: Option<PathBuf>,
    /// Facts about the bench: checked by itself, and so that meters can be found too coarse
    #[arg(long, value_name = "FILE")]
    bench: Option<PathBuf>,
    /// Explain a finding by its code
    #[arg(long, value_name = "CODE", conflicts_with = "files")]
    explain: Option<String>,
    /// How to print the findings
    #[arg(long, value_enum, default_value_t)]
    format: OutputFormat,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    if let Some(code) = &arguments.explain {
        return explain(code);
    }
    let equipment = arguments.equipment.as_deref().map(file::read).transpose()?;
    let bench = arguments.bench.as_deref().map(file::read).transpose()?;
    let beside = (equipment.as_ref(), bench.as_ref());
    let files = arguments.files.iter().map(|path| documents::procedure(path));
    let files = files.collect::<Result<Vec<_>, Fault>>()?;
    let mut all = findings_in_all(&files, beside)?;
    if let Some(document) = &bench {
        // It is looked at with each procedure, and shown once.
        all.retain(|found| found.document.shown != document.shown);
        all.extend(documents::of_bench(document));
    }
    match arguments.format {
        OutputFormat::Text => {
            all.iter().for_each(|found| terminal::out(&found.text()));
            let alone = usize::from(files.is_empty());
            terminal::out(&summary(files.len() + alone, &all));
        }
        OutputFormat::Json => print_json(&all.iter().flat_map(FileFindings::json).collect()),
    }
    Ok(if all.is_empty() { Exit::Finished } else { Exit::Findings })
}

/// Checks the files on all cores; what is found keeps the order of the files.
fn findings_in_all(
    files: &[NamedFile],
    beside: FilesBeside<'_>,
) -> Result<Vec<FileFindings>, Fault> {
    let check = |share: &[NamedFile]| -> Result<Vec<FileFindings>, Fault> {
        let found = share.iter().map(|document| findings_in_one(document, files, beside));
        Ok(found.collect::<Result<Vec<_>, Fault>>()?.into_iter().flatten().collect())
    };
    let cores = thread::available_parallelism().map_or(1, NonZero::get);
    thread::scope(|scope| {
        let shares = files.chunks(files.len().div_ceil(cores).max(1));
        let workers: Vec<_> = shares.map(|share| scope.spawn(move || check(share))).collect();
        let mut all = Vec::new();
        for worker in workers {
            all.extend(worker.join().unwrap_or_else(|panic| resume_unwind(panic))?);
        }
        Ok(all)
    })
}

fn findings_in_one(
    document: &NamedFile,
    files: &[NamedFile],
    beside: FilesBeside<'_>,
) -> Result<Vec<FileFindings>, Fault> {
    let found = documents::findings(document, beside)?;
    let is_model = kind_of(&document.file.text) == Ok(FileKind::Model);
    if is_model && found.is_empty() {
        return Ok(Vec::from_iter(rehearsal::findings(document, files, beside.0)));
    }
    Ok(found)
}

fn explain(code: &str) -> Result<Exit, Fault> {
    let page = check::page(&code.to_uppercase()).ok_or_else(|| {
        Fault::usage(format!("there is no finding {code}"))
            .help("codes look like ORD003 and stand before each finding")
    })?;
    terminal::out(page);
    Ok(Exit::Finished)
}

fn summary(files: usize, all: &[FileFindings]) -> String {
    let count: usize = all.iter().map(|found| found.findings.len()).sum();
    let files = if files == 1 { "1 file".to_owned() } else { format!("{files} files") };
    match count {
        0 => format!("{files} checked, nothing found\n"),
        1 => format!("{files} checked, 1 finding; `wattstep check --explain CODE` says more\n"),
        n => format!("{files} checked, {n} findings; `wattstep check --explain CODE` says more\n"),
    }
}
