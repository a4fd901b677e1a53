//! `trend`: one reading over many runs.

mod answer;
mod drawing;

use std::collections::BTreeSet;
use std::fs::OpenOptions;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use super::asked::{self, Meant, Rehearsals, Unregistered};
use super::{OutputFormat, print_json, vouched};
use crate::archive::{Archive, HistoryPoint, Trend, common_unit};
use crate::cli::exit::Exit;
use crate::report::Sheet;
use crate::shell::fault::Fault;
use crate::shell::terminal;

/// Show how a reading went over many runs, and what is unusual about it
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// The reading, by its key in the records, such as `idle-plus`
    reading: String,
    #[command(flatten)]
    meant: Meant,
    #[command(flatten)]
    rehearsals: Rehearsals,
    #[command(flatten)]
    unregistered: Unregistered,
    /// Draw it into a new SVG file too
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// How to print it
    #[arg(long, value_enum, default_value_t)]
    format: OutputFormat,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let archive = arguments.meant.open()?;
    let filter = arguments.meant.filter(arguments.rehearsals, arguments.unregistered);
    let points = archive.history(&arguments.reading, &filter).map_err(Fault::failed)?;
    let is_one = one_procedure(&archive, &arguments.reading, &points);
    vouched::told_above(is_one, &archive, arguments.unregistered.into())?;
    let unit = common_unit(&points).ok_or_else(|| {
        Fault::usage(format!("the readings named {} measure different things", arguments.reading))
            .help("narrow them down with --from or --equipment")
    })?;
    let trend = Trend::of(&points);
    let void_runs = archive.void_runs(&arguments.reading, &filter).map_err(Fault::failed)?;
    let shown = answer::Shown {
        key: &arguments.reading,
        points: &points,
        unit: &unit,
        trend: &trend,
        void_runs,
    };
    if let Some(path) = &arguments.svg {
        let plot =
            drawing::plot(&shown).ok_or_else(|| Fault::failed("no run gave a number to draw"))?;
        write_new(path, &plot.svg())?;
    }
    let damaged = archive.damaged().map_err(Fault::failed)?;
    let vouched = archive.vouched().map_err(Fault::failed)?;
    match arguments.format {
        OutputFormat::Json => print_json(&shown.json(&damaged, &vouched)),
        OutputFormat::Text => {
            let mut sheet = Sheet::new(terminal::out_style());
            vouched::words(&mut sheet, &vouched, &damaged, arguments.unregistered.into());
            shown.text(&mut sheet);
            asked::damaged(&mut sheet, &damaged);
            terminal::out(&sheet.finish());
        }
    }
    Ok(Exit::Finished)
}

/// Refuses what is no trend: nothing at all, and one name in several procedures, where it stands for several things.
pub(super) fn one_procedure(
    archive: &Archive,
    key: &str,
    points: &[HistoryPoint],
) -> Result<(), Fault> {
    let procedures: BTreeSet<_> = points.iter().map(|point| point.procedure.as_str()).collect();
    match procedures.len() {
        0 => {
            let fault = Fault::failed(format!("none of these runs holds a reading named {key}"));
            if !archive.damaged().map_err(Fault::failed)?.is_empty() {
                return Err(fault.help("`wattstep records` says which are damaged and why"));
            }
            if archive.vouched().map_err(Fault::failed)?.leaves_out() {
                return Err(fault.help("--with-unregistered takes in what is there"));
            }
            let like = archive.keys_like(key).map_err(Fault::failed)?;
            let known = like.iter().any(|like| like == key);
            Err(if known {
                fault.help(
                    "only real runs count: `wattstep trend --with-rehearsals` takes the others too, a window is \
                     proposed from real ones alone; or ask for fewer things at once",
                )
            } else if like.is_empty() {
                fault.help("`wattstep show RUN --format json` shows the keys of a run")
            } else {
                fault.help(format!("there are: {}", like.join(", ")))
            })
        }
        1 => Ok(()),
        _ => {
            let names = procedures.into_iter().collect::<Vec<_>>().join(", ");
            let fault =
                Fault::usage(format!("{key} is a reading of more than one procedure: {names}"));
            Err(fault.help("choose one with --procedure NAME"))
        }
    }
}

/// Writes a file that must not exist yet: what is there is not ours to replace.
fn write_new(path: &Path, text: &str) -> Result<(), Fault> {
    let written = OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(path)
        .and_then(|mut file| file.write_all(text.as_bytes()));
    written.map_err(|error| {
        Fault::failed(format!("cannot write {}: {error}", path.display()))
            .help("name a file that does not exist yet, in a folder that does")
    })
}
