//! `report`: what a record tells, for a customer, for a spreadsheet or for a program.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use clap::ValueEnum;

use super::{Records, verify};
use crate::audit::replay::{Frozen, frozen};
use crate::cli::exit::Exit;
use crate::journal::register::Registered;
use crate::journal::{self, JournalError};
use crate::record::{Entry, Happening, Run};
use crate::report::photo::{PHOTO_MAX, Photo};
use crate::report::{self, Issuer, ReportSubject, Seal};
use crate::shell::fault::Fault;
use crate::shell::file;
use crate::shell::terminal;

/// The most bytes of all photos in one report; those beyond are listed with their hash.
const PHOTOS_MAX: usize = 32 * 1024 * 1024;

/// Make a report of a record
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// The record: its file, or the name of the run
    record: PathBuf,
    #[command(flatten)]
    records: Records,
    /// Who reads it: `customer` gets two pages, `technician` the stops and repeats
    #[arg(long = "for", value_enum, value_name = "WHOM", default_value_t)]
    reader: ReportReader,
    /// What to make
    #[arg(long, value_enum, default_value_t)]
    format: ReportFormat,
    /// Where to write it, a new file; without this it goes to the screen
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Name and place of the workshop, as it is to stand in the report
    #[arg(long, value_name = "TEXT")]
    shop: Option<String>,
    /// Whom the report is for
    #[arg(long, value_name = "TEXT")]
    customer: Option<String>,
}

/// What a report is made as.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum ReportFormat {
    /// The report, for a terminal
    #[default]
    Text,
    /// The report, for a browser and a printer
    Html,
    /// The report, for paper
    Pdf,
    /// The readings, for a spreadsheet
    Xlsx,
    /// The readings, as a table
    Csv,
    /// The readings, one JSON object a line
    Jsonl,
    /// The whole run
    Json,
}

/// Who reads the report.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum ReportReader {
    /// Everything that the record tells
    #[default]
    Shop,
    /// What came in, what was done and measured, what was not tested: to hand over with the set
    Customer,
    /// Where it stopped, and what was read again
    Technician,
}

impl From<ReportReader> for report::Audience {
    fn from(reader: ReportReader) -> Self {
        match reader {
            ReportReader::Shop => Self::Shop,
            ReportReader::Customer => Self::Customer,
            ReportReader::Technician => Self::Technician,
        }
    }
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    if arguments.format.is_data() && arguments.reader != ReportReader::Shop {
        return Err(Fault::usage(
            "`--for` chooses what a page says: tables and JSON have all of it",
        )
        .help("take `--format text`, `html` or `pdf` with it"));
    }
    let path = arguments.records.found(&arguments.record)?;
    let entries = read(&path)?;
    let run =
        Run::fold(&entries).ok_or_else(|| Fault::damaged("line 1 is not the start of a run"))?;
    let Frozen { procedure, equipment, bench, .. } = frozen(&entries).map_err(Fault::damaged)?;
    let found = verify::with_register(&path)?;
    let seal = seal(found);
    let photos = photos(&path, &run);
    let issuer = Issuer { shop: arguments.shop.clone(), customer: arguments.customer.clone() };
    let subject = ReportSubject {
        run: &run,
        procedure: &procedure,
        equipment: equipment.as_ref(),
        bench: bench.as_ref(),
        seal: &seal,
        photos: &photos,
        issuer: &issuer,
    };
    let bytes = made(&subject, arguments)?;
    file::put(arguments.out.as_deref(), &bytes, arguments.format.is_binary())?;
    if let Some(wrong) = &seal.wrong {
        return Err(Fault::damaged(wrong).help("the report says so on every page"));
    }
    Ok(Exit::Finished)
}

/// What verifying a record comes to, for its report.
pub(super) fn seal(found: verify::Found) -> Seal {
    let registered = found.registered.as_ref();
    Seal {
        caveats: registered.map(Registered::caveats).unwrap_or_default(),
        adopted: registered.is_some_and(Registered::is_adopted),
        head: found.head,
        lines: found.entries,
        wrong: found.wrong,
        torn: found.is_torn,
        flawed: found.flawed,
    }
}

impl ReportFormat {
    /// Whether it is made for other programs to read.
    fn is_data(self) -> bool {
        match self {
            Self::Text | Self::Html | Self::Pdf => false,
            Self::Xlsx | Self::Csv | Self::Jsonl | Self::Json => true,
        }
    }

    fn is_binary(self) -> bool {
        matches!(self, Self::Pdf | Self::Xlsx)
    }
}

fn read(path: &Path) -> Result<Vec<Entry>, Fault> {
    let contents = journal::read_file::<Entry>(path).map_err(|error| match error {
        JournalError::Damaged { .. } => Fault::damaged(error),
        other => Fault::failed(other),
    })?;
    Ok(contents.entries)
}

fn made(subject: &ReportSubject<'_>, arguments: &Arguments) -> Result<Vec<u8>, Fault> {
    let document = || report::report(subject, arguments.reader.into());
    Ok(match arguments.format {
        ReportFormat::Text => report::plain(&document(), terminal::out_style()).into_bytes(),
        ReportFormat::Html => report::html(&document()).into_bytes(),
        ReportFormat::Pdf => report::pdf(&document()).map_err(Fault::failed)?,
        ReportFormat::Xlsx => report::xlsx(subject).map_err(Fault::failed)?,
        ReportFormat::Csv => report::csv(subject).into_bytes(),
        ReportFormat::Jsonl => report::json_lines(subject).map_err(Fault::failed)?.into_bytes(),
        ReportFormat::Json => report::whole(subject).map_err(Fault::failed)?.into_bytes(),
    })
}

/// The photos among the attached files that are what the record says they are.
fn photos(record: &Path, run: &Run) -> BTreeMap<String, Photo> {
    let folder = record.parent().unwrap_or(Path::new(""));
    let mut photos = BTreeMap::new();
    let mut room = PHOTOS_MAX;
    for item in &run.items {
        let Happening::Attached { sha256, .. } = &item.what else { continue };
        let most = PHOTO_MAX.min(room);
        let bytes = file::attached(folder, &run.opening.run, sha256, most);
        if let Some(photo) = bytes.and_then(Photo::of).filter(|_| !photos.contains_key(sha256)) {
            room = room.saturating_sub(photo.bytes.len());
            photos.insert(sha256.clone(), photo);
        }
    }
    photos
}
