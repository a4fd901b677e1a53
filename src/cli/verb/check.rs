//! `check`: findings in procedures, before anyone relies on them.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::path::PathBuf;
use std::thread;

use super::{Format, print_json};
use crate::cli::exit::Exit;
use crate::cli::fault::Fault;
use crate::cli::file::{self, Document};
use crate::cli::opening::Files;
use crate::cli::terminal;
use crate::diagnostic::{Finding, Origin, Severity, clean, render, to_json};
use crate::procedure::check::{self, Subject};
use crate::procedure::{read_equipment, read_procedure};

/// The most findings of one file that are shown to a person; programs get all.
const SHOWN_MAX: usize = 50;

/// Check procedures for mistakes
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// Procedure files, or names of bundled procedures
    #[arg(required_unless_present = "explain", value_name = "FILE")]
    procedures: Vec<PathBuf>,
    /// Facts about the equipment, so that limits can be worked out
    #[arg(long, value_name = "FILE")]
    equipment: Option<PathBuf>,
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
    let all = findings_in_all(&arguments.procedures, equipment.as_ref())?;
    match arguments.format {
        Format::Text => {
            all.iter().for_each(|found| terminal::out(&found.text()));
            terminal::out(&summary(arguments.procedures.len(), &all));
        }
        Format::Json => print_json(&all.iter().flat_map(Found::json).collect()),
    }
    Ok(if all.is_empty() { Exit::Finished } else { Exit::Findings })
}

/// Checks the files on all cores; what is found keeps the order of the files.
fn findings_in_all(paths: &[PathBuf], equipment: Option<&Document>) -> Result<Vec<Found>, Fault> {
    let check = |paths: &[PathBuf]| -> Result<Vec<Found>, Fault> {
        let procedures = paths.iter().map(|path| super::run::procedure(path));
        let found = procedures.map(|procedure| Ok(findings(&procedure?, equipment)));
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

/// Findings in one file.
struct Found {
    document: Document,
    findings: Vec<Finding>,
}

impl Found {
    fn origin(&self) -> Origin<'_> {
        origin(&self.document)
    }

    fn text(&self) -> String {
        let shown = self.findings.get(..SHOWN_MAX).unwrap_or(&self.findings);
        let text = render(shown, &self.origin(), terminal::out_style());
        match self.findings.len() - shown.len() {
            0 => text,
            more => format!("{text}\n... and {more} more in {}\n", clean(&self.document.shown)),
        }
    }

    fn json(&self) -> Vec<serde_json::Value> {
        match to_json(&self.findings, &self.origin()) {
            serde_json::Value::Array(findings) => findings,
            other => vec![other],
        }
    }
}

fn findings(procedure: &Document, equipment: Option<&Document>) -> Vec<Found> {
    let found = |document: &Document, findings: Vec<Finding>| Found {
        document: document.clone(),
        findings,
    };
    let model = match read_procedure(&procedure.file.text) {
        Ok(model) => model,
        Err(finding) => return vec![found(procedure, vec![finding])],
    };
    let mut all = Vec::new();
    let mut facts = None;
    if let Some(document) = equipment {
        match read_equipment(&document.file.text) {
            Ok(equipment) => {
                all.push(found(document, check::check_equipment(&model, &equipment)));
                facts = Some(equipment);
            }
            Err(finding) => all.push(found(document, vec![finding])),
        }
    }
    let subject = Subject { procedure: &model, equipment: facts.as_ref() };
    all.push(found(procedure, check::check(&subject)));
    all.retain(|found| !found.findings.is_empty());
    all
}

/// Gives the models of files in which nothing is wrong.
pub(in crate::cli) fn sound(
    procedure: Document,
    equipment: Option<Document>,
) -> Result<Files, Fault> {
    let all = findings(&procedure, equipment.as_ref());
    let is_error = |finding: &Finding| finding.severity == Severity::Error;
    if all.iter().any(|found| found.findings.iter().any(is_error)) {
        all.iter().for_each(|found| terminal::err(&found.text()));
        return Err(Fault::findings("a procedure with findings is not run")
            .help("mend what is shown above, then check it"));
    }
    let model =
        read_procedure(&procedure.file.text).map_err(|finding| fault(&finding, &procedure))?;
    let equipment = match equipment {
        Some(document) => {
            let model = read_equipment(&document.file.text)
                .map_err(|finding| fault(&finding, &document))?;
            Some((document.file, model))
        }
        None => None,
    };
    Ok(Files { procedure: (procedure.file, model), equipment })
}

/// Shows a finding in a file and makes it the reason not to go on.
pub(in crate::cli) fn fault(finding: &Finding, document: &Document) -> Fault {
    let origin = origin(document);
    terminal::err(&render(std::slice::from_ref(finding), &origin, terminal::err_style()));
    Fault::findings(format!("{} cannot be used as it is", document.shown))
}

fn origin(document: &Document) -> Origin<'_> {
    Origin { file: &document.shown, text: &document.file.text }
}
