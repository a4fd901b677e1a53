//! `check`: findings in procedures, before anyone relies on them.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::path::{Path, PathBuf};
use std::thread;

use chrono::Local;

use super::{Format, print_json};
use crate::cli::exit::Exit;
use crate::cli::fault::Fault;
use crate::cli::file::{self, Document};
use crate::cli::opening::Files;
use crate::cli::terminal;
use crate::diagnostic::{Finding, Origin, Severity, clean, render, to_json};
use crate::procedure::check::{self, Keys, Subject};
use crate::procedure::{
    BenchFile, Equipment, People, Procedure, read_bench, read_equipment, read_people,
    read_procedure,
};
use crate::signature::Signers;

/// The most findings of one file that are shown to a person; programs get all.
const SHOWN_MAX: usize = 50;

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
        all.extend(of_bench(document));
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

/// The equipment file and the bench file that go with a procedure.
type Beside<'a> = (Option<&'a Document>, Option<&'a Document>);

/// Checks the files on all cores; what is found keeps the order of the files.
fn findings_in_all(paths: &[PathBuf], beside: Beside<'_>) -> Result<Vec<Found>, Fault> {
    let check = |paths: &[PathBuf]| -> Result<Vec<Found>, Fault> {
        let procedures = paths.iter().map(|path| super::run::procedure(path));
        let found = procedures.map(|document| {
            let document = document?;
            let is_people = document.file.text.lines().any(|line| line.starts_with("people:"));
            let of_people = || of_people(&document).map(Vec::from_iter);
            if is_people { of_people() } else { Ok(look(&document, beside).found) }
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

/// Adds what is wrong in a file outside of its texts, as in its comments.
fn with_source(document: &Document, mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.extend(check::check_source(&document.file.text, &findings));
    findings
}

/// What is wrong in a bench file by itself.
fn of_bench(document: &Document) -> Option<Found> {
    let findings = match read_bench(&document.file.text) {
        Ok(bench) => with_source(document, check::check_bench(&bench)),
        Err(finding) => vec![finding],
    };
    (!findings.is_empty()).then(|| Found { document: document.clone(), findings })
}

/// What is wrong in a people file, and with the keys in the file of signers that it names.
fn of_people(document: &Document) -> Result<Option<Found>, Fault> {
    let findings = match read_people(&document.file.text) {
        Ok(people) => with_source(document, findings_of_people(document, &people)?),
        Err(finding) => vec![finding],
    };
    Ok((!findings.is_empty()).then(|| Found { document: document.clone(), findings }))
}

fn findings_of_people(document: &Document, people: &People) -> Result<Vec<Finding>, Fault> {
    let findings = check::check_people(people, None);
    // A name that leads elsewhere is not followed.
    let Some(name) = people.signers.as_ref().filter(|_| !findings.iter().any(is_error)) else {
        return Ok(findings);
    };
    let folder = Path::new(&document.shown).parent().unwrap_or(Path::new(""));
    let file = file::read(&folder.join(name.as_str()))?;
    let signers = Signers::parse(&file.file.text)
        .map_err(|error| Fault::failed(format!("{}: {error}", file.shown)))?;
    let now = Local::now().fixed_offset();
    let of = |id: &str| signers.keys(id, now);
    let is_there = |path: &str| folder.join(path).is_file();
    Ok(check::check_people(people, Some(Keys { of: &of, is_there: &is_there })))
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

/// The files of a run as they were read.
#[derive(Debug)]
pub(in crate::cli) struct Documents {
    pub(in crate::cli) procedure: Document,
    pub(in crate::cli) equipment: Option<Document>,
    pub(in crate::cli) bench: Option<Document>,
}

/// What could be read of the files, and what is wrong in them.
struct Looked {
    procedure: Option<Procedure>,
    equipment: Option<Equipment>,
    bench: Option<BenchFile>,
    found: Vec<Found>,
}

impl Looked {
    /// Reads a file, or adds what is wrong in it.
    fn read<T>(&mut self, document: &Document, read: fn(&str) -> Result<T, Finding>) -> Option<T> {
        let read = read(&document.file.text);
        read.map_err(|finding| self.add(document, vec![finding])).ok()
    }

    fn add(&mut self, document: &Document, findings: Vec<Finding>) {
        if !findings.is_empty() {
            self.found.push(Found { document: document.clone(), findings });
        }
    }
}

fn look(document: &Document, (equipment, bench): Beside<'_>) -> Looked {
    let mut looked = Looked { procedure: None, equipment: None, bench: None, found: Vec::new() };
    looked.procedure = looked.read(document, read_procedure);
    if let Some(document) = equipment {
        looked.equipment = looked.read(document, read_equipment);
    }
    if let Some(document) = bench {
        looked.bench = looked.read(document, read_bench);
        if let Some(bench) = &looked.bench {
            let findings = check::check_bench(bench);
            looked.add(document, with_source(document, findings));
        }
    }
    let Some(procedure) = &looked.procedure else { return looked };
    let subject = Subject::new(procedure, looked.equipment.as_ref(), looked.bench.as_ref());
    let findings = check::check(&subject);
    let of_equipment = looked.equipment.as_ref().map(|own| check::check_equipment(procedure, own));
    looked.add(document, with_source(document, findings));
    if let Some((document, findings)) = equipment.zip(of_equipment) {
        looked.add(document, with_source(document, findings));
    }
    looked
}

/// Gives the models of files in which nothing is wrong.
pub(in crate::cli) fn sound(documents: Documents) -> Result<Files, Fault> {
    let beside = (documents.equipment.as_ref(), documents.bench.as_ref());
    let looked = look(&documents.procedure, beside);
    let refused = looked.found.iter().any(|found| found.findings.iter().any(is_error));
    let Some(procedure) = looked.procedure.filter(|_| !refused) else {
        looked.found.iter().for_each(|found| terminal::err(&found.text()));
        let with_errors = looked.found.iter().filter(|found| found.findings.iter().any(is_error));
        let files: Vec<_> = with_errors.map(|found| found.document.shown.as_str()).collect();
        let files = files.join(", ");
        return Err(Fault::findings(format!("a file with findings is not run: {files}"))
            .help("mend what is shown above, then check it"));
    };
    Ok(Files {
        procedure: (documents.procedure.file, procedure),
        equipment: documents.equipment.map(|own| own.file).zip(looked.equipment),
        bench: documents.bench.map(|own| own.file).zip(looked.bench),
        staff: None,
        rehearsed: None,
    })
}

/// Gives the model of a bench file in which nothing is wrong, with warnings shown.
pub(in crate::cli) fn sound_bench(document: &Document) -> Result<BenchFile, Fault> {
    sound_alone(document, of_bench(document), read_bench)
}

/// Gives the model of a people file in which nothing is wrong, with warnings shown.
pub(in crate::cli) fn sound_people(document: &Document) -> Result<People, Fault> {
    sound_alone(document, of_people(document)?, read_people)
}

fn sound_alone<T>(
    document: &Document,
    found: Option<Found>,
    read: fn(&str) -> Result<T, Finding>,
) -> Result<T, Fault> {
    let (text, findings) = found.map(|own| (own.text(), own.findings)).unwrap_or_default();
    terminal::err(&text);
    match read(&document.file.text) {
        Ok(model) if !findings.iter().any(is_error) => Ok(model),
        _ => Err(Fault::findings(format!("{} cannot be used as it is", document.shown))
            .help("mend what is shown above, then check it")),
    }
}

fn is_error(finding: &Finding) -> bool {
    finding.severity == Severity::Error
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
