//! The files that people write: read, or taken from those that are bundled, and found sound.

use std::path::Path;

use chrono::Local;

use super::fault::Fault;
use super::file::{self, NamedFile};
use super::file_findings::{FileFindings, is_error};
use super::terminal;
use crate::diagnostic::{Finding, nearest};
use crate::journal::sha256_hex;
use crate::netlist::Netlist;
use crate::procedure::check::{self, Keys, Subject};
use crate::procedure::{
    AnswersFile, BenchFile, CircuitFile, Equipment, FileKind, ModelFile, People, Procedure,
    bundled, kind_of, read_answers, read_bench, read_circuit, read_equipment, read_model,
    read_people, read_procedure,
};
use crate::record::Provided;
use crate::signature::Signers;

/// The equipment file and the bench file that go with a procedure.
pub(crate) type FilesBeside<'a> = (Option<&'a NamedFile>, Option<&'a NamedFile>);

/// The files of a run as they were read.
#[derive(Debug)]
pub(crate) struct Documents {
    pub(crate) procedure: NamedFile,
    pub(crate) equipment: Option<NamedFile>,
    pub(crate) bench: Option<NamedFile>,
}

/// The files of a run, read, and found to be without errors.
#[derive(Debug)]
pub(crate) struct SoundFiles {
    pub(crate) procedure: (Provided, Procedure),
    pub(crate) equipment: Option<(Provided, Equipment)>,
    pub(crate) bench: Option<(Provided, BenchFile)>,
}

/// What could be read of the files, and what is wrong in them.
struct Looked {
    procedure: Option<Procedure>,
    equipment: Option<Equipment>,
    bench: Option<BenchFile>,
    found: Vec<FileFindings>,
}

impl Looked {
    /// Reads a file, or adds what is wrong in it.
    fn read<T>(&mut self, document: &NamedFile, read: fn(&str) -> Result<T, Finding>) -> Option<T> {
        let read = read(&document.file.text);
        read.map_err(|finding| self.add(document, vec![finding])).ok()
    }

    fn add(&mut self, document: &NamedFile, findings: Vec<Finding>) {
        self.found.extend(FileFindings::new(document, findings));
    }
}

fn look(document: &NamedFile, (equipment, bench): FilesBeside<'_>) -> Looked {
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
    let of_equipment = looked
        .equipment
        .as_ref()
        .map(|equipment| check::check_equipment(Some(procedure), equipment));
    looked.add(document, with_source(document, findings));
    if let Some((document, findings)) = equipment.zip(of_equipment) {
        looked.add(document, with_source(document, findings));
    }
    looked
}

/// What is wrong in a file of any kind, and, for a procedure, in the files that go with it.
pub(crate) fn findings(
    document: &NamedFile,
    beside: FilesBeside<'_>,
) -> Result<Vec<FileFindings>, Fault> {
    let alone = match kind_of(&document.file.text) {
        Ok(FileKind::Procedure) => return Ok(look(document, beside).found),
        Ok(FileKind::Equipment) => of_equipment(document),
        Ok(FileKind::Bench) => of_bench(document),
        Ok(FileKind::People) => of_people(document)?,
        Ok(FileKind::Answers) => of_answers(document),
        Ok(FileKind::Model) => of_model(document),
        Ok(FileKind::Circuit) => return of_circuit(document),
        Err(finding) => FileFindings::new(document, vec![finding]),
    };
    Ok(Vec::from_iter(alone))
}

/// Gives the models of files in which nothing is wrong.
pub(crate) fn sound(documents: Documents) -> Result<SoundFiles, Fault> {
    let beside = (documents.equipment.as_ref(), documents.bench.as_ref());
    let looked = look(&documents.procedure, beside);
    let refused = looked.found.iter().any(FileFindings::has_error);
    let Some(procedure) = looked.procedure.filter(|_| !refused) else {
        looked.found.iter().for_each(|found| terminal::err(&found.text()));
        let with_errors = looked.found.iter().filter(|found| found.has_error());
        let files: Vec<_> = with_errors.map(|found| found.document.shown.as_str()).collect();
        let files = files.join(", ");
        return Err(Fault::findings(format!("a file with findings is not run: {files}"))
            .help("mend what is shown above, then check it"));
    };
    Ok(SoundFiles {
        procedure: (documents.procedure.file, procedure),
        equipment: documents.equipment.map(|file| file.file).zip(looked.equipment),
        bench: documents.bench.map(|file| file.file).zip(looked.bench),
    })
}

/// Gives the model of a bench file in which nothing is wrong, with warnings shown.
pub(crate) fn sound_bench(document: &NamedFile) -> Result<BenchFile, Fault> {
    sound_alone(document, of_bench(document), read_bench)
}

/// Gives the model of a people file in which nothing is wrong, with warnings shown.
pub(crate) fn sound_people(document: &NamedFile) -> Result<People, Fault> {
    sound_alone(document, of_people(document)?, read_people)
}

/// Gives the model of an answers file in which nothing is wrong, with warnings shown.
pub(crate) fn sound_answers(document: &NamedFile) -> Result<AnswersFile, Fault> {
    sound_alone(document, of_answers(document), read_answers)
}

/// Gives the model of equipment in which nothing is wrong by itself, with warnings shown.
pub(crate) fn sound_model(document: &NamedFile) -> Result<ModelFile, Fault> {
    sound_alone(document, of_model(document), read_model)
}

fn sound_alone<T>(
    document: &NamedFile,
    found: Option<FileFindings>,
    read: fn(&str) -> Result<T, Finding>,
) -> Result<T, Fault> {
    if let Some(found) = &found {
        terminal::err(&found.text());
    }
    match read(&document.file.text) {
        Ok(model) if !found.is_some_and(|found| found.has_error()) => Ok(model),
        _ => Err(Fault::findings(format!("{} cannot be used as it is", document.shown))
            .help("mend what is shown above, then check it")),
    }
}

/// Adds what is wrong in a file outside of its texts, as in its comments.
fn with_source(document: &NamedFile, mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.extend(check::check_source(&document.file.text, &findings));
    findings
}

/// What is wrong in a file by itself.
fn alone<T>(
    document: &NamedFile,
    read: fn(&str) -> Result<T, Finding>,
    check: fn(&T) -> Vec<Finding>,
) -> Option<FileFindings> {
    let findings = match read(&document.file.text) {
        Ok(model) => with_source(document, check(&model)),
        Err(finding) => vec![finding],
    };
    FileFindings::new(document, findings)
}

/// What is wrong in an equipment file by itself.
fn of_equipment(document: &NamedFile) -> Option<FileFindings> {
    alone(document, read_equipment, |equipment| check::check_equipment(None, equipment))
}

/// What is wrong in a bench file by itself.
pub(crate) fn of_bench(document: &NamedFile) -> Option<FileFindings> {
    alone(document, read_bench, check::check_bench)
}

fn of_answers(document: &NamedFile) -> Option<FileFindings> {
    alone(document, read_answers, check::check_answers)
}

fn of_model(document: &NamedFile) -> Option<FileFindings> {
    alone(document, read_model, check::check_model)
}

/// A circuit file with its netlist in which nothing is wrong, and their texts.
#[derive(Debug)]
pub(crate) struct SoundCircuit {
    pub(crate) file: CircuitFile,
    pub(crate) netlist: Netlist,
    pub(crate) texts: [NamedFile; 2],
}

/// A circuit file and its netlist, as far as they could be read, and what is wrong in them.
type LookedAtCircuit = (Option<(CircuitFile, Netlist, NamedFile)>, Vec<FileFindings>);

/// What is wrong in a circuit file, and in the netlist that it names.
fn of_circuit(document: &NamedFile) -> Result<Vec<FileFindings>, Fault> {
    look_at_circuit(document, &|file| beside(document, &file.netlist)).map(|(_, found)| found)
}

fn look_at_circuit(
    document: &NamedFile,
    netlist: &dyn Fn(&CircuitFile) -> Result<NamedFile, Fault>,
) -> Result<LookedAtCircuit, Fault> {
    let alone = |findings| Ok((None, Vec::from_iter(FileFindings::new(document, findings))));
    let file = match read_circuit(&document.file.text) {
        Ok(file) => file,
        Err(finding) => return alone(vec![finding]),
    };
    let by_itself = check::check_circuit(&file, None);
    // A name that leads elsewhere is not followed.
    if by_itself.iter().any(is_error) {
        return alone(with_source(document, by_itself));
    }
    let text = netlist(&file)?;
    let (netlist, found) = match check::read_netlist(&text.file.text) {
        Ok(netlist) => (Some(netlist), None),
        Err(finding) => (None, FileFindings::new(&text, vec![finding])),
    };
    let findings = with_source(document, check::check_circuit(&file, netlist.as_ref()));
    let found = FileFindings::new(document, findings).into_iter().chain(found).collect();
    Ok((netlist.map(|netlist| (file, netlist, text)), found))
}

/// Gives a circuit in which nothing is wrong, with warnings shown: that of a file, or the one that comes with a bundled procedure.
pub(crate) fn circuit(path: &Path) -> Result<SoundCircuit, Fault> {
    let bundled = path.to_str().filter(|_| !path.exists()).and_then(bundled::circuit);
    if let Some(texts) = bundled {
        return bundled_circuit(texts);
    }
    let document = file::read(path)?;
    let looked = look_at_circuit(&document, &|file| beside(&document, &file.netlist))?;
    sound_of_circuit(document, looked)
}

/// Gives a circuit that comes with the program.
pub(crate) fn bundled_circuit([file, netlist]: [&str; 2]) -> Result<SoundCircuit, Fault> {
    let document = bundled_file("circuit.yaml", file);
    let looked = look_at_circuit(&document, &|file| Ok(bundled_file(&file.netlist, netlist)))?;
    sound_of_circuit(document, looked)
}

fn sound_of_circuit(
    document: NamedFile,
    (read, found): LookedAtCircuit,
) -> Result<SoundCircuit, Fault> {
    found.iter().for_each(|found| terminal::err(&found.text()));
    match read.filter(|_| !found.iter().any(FileFindings::has_error)) {
        Some((file, netlist, text)) => Ok(SoundCircuit { file, netlist, texts: [document, text] }),
        None => Err(Fault::findings(format!("{} cannot be used as it is", document.shown))
            .help("mend what is shown above, then check it")),
    }
}

/// A file in the folder of another.
fn beside(document: &NamedFile, name: &str) -> Result<NamedFile, Fault> {
    let folder = Path::new(&document.shown).parent().unwrap_or(Path::new(""));
    file::read(&folder.join(name))
}

/// What is wrong in a people file, and with the keys in the file of signers that it names.
fn of_people(document: &NamedFile) -> Result<Option<FileFindings>, Fault> {
    let findings = match read_people(&document.file.text) {
        Ok(people) => with_source(document, findings_of_people(document, &people)?),
        Err(finding) => vec![finding],
    };
    Ok(FileFindings::new(document, findings))
}

fn findings_of_people(document: &NamedFile, people: &People) -> Result<Vec<Finding>, Fault> {
    let findings = check::check_people(people, None);
    // A name that leads elsewhere is not followed.
    let Some(name) = people.signers.as_ref().filter(|_| !findings.iter().any(is_error)) else {
        return Ok(findings);
    };
    let folder = Path::new(&document.shown).parent().unwrap_or(Path::new(""));
    let file = beside(document, name)?;
    let signers = Signers::parse(&file.file.text)
        .map_err(|error| Fault::failed(format!("{}: {error}", file.shown)))?;
    let now = Local::now().fixed_offset();
    let of = |id: &str| signers.keys(id, now);
    let is_there = |path: &str| folder.join(path).is_file();
    Ok(check::check_people(people, Some(Keys { of: &of, is_there: &is_there })))
}

/// A text that comes with the program, as a document.
pub(crate) fn bundled_file(name: &str, text: &str) -> NamedFile {
    let sha256 = sha256_hex(text.as_bytes());
    let name = format!("{name} (bundled)");
    NamedFile { shown: name.clone(), file: Provided { name, sha256, text: text.to_owned() } }
}

/// Reads a procedure from its file, or takes the bundled one of that name.
pub(crate) fn procedure(path: &Path) -> Result<NamedFile, Fault> {
    let bundled = path.to_str().and_then(bundled::text);
    match bundled.filter(|_| !path.exists()) {
        Some(text) => Ok(bundled_file(&path.display().to_string(), text)),
        None if path.exists() => file::read(path),
        None => file::read(path).map_err(|fault| fault.help(bundled_help(path))),
    }
}

/// What may have been meant by a procedure that is no file.
fn bundled_help(path: &Path) -> String {
    let name = path.to_string_lossy();
    match nearest(&name, bundled::NAMES.iter().copied()) {
        Some(meant) => format!("did you mean the bundled `{meant}`?"),
        None => format!("the bundled procedures are {}", bundled::NAMES.join(", ")),
    }
}
