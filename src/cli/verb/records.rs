//! `records`: which records there are.

use serde_json::json;

use super::OutputFormat;
use super::asked::{self, Meant, Rehearsals, Unregistered};
use super::vouched::{self, Counts};
use crate::archive::{Archive, Damaged, Filter, Listed, Vouched};
use crate::cli::exit::Exit;
use crate::diagnostic::clean_json;
use crate::record::Outcome;
use crate::report::{Sheet, Tone};
use crate::shell::fault::Fault;
use crate::shell::terminal;

/// List the records, all or those that are meant
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    #[command(flatten)]
    meant: Meant,
    #[command(flatten)]
    rehearsals: Rehearsals,
    /// How to print them
    #[arg(long, value_enum, default_value_t)]
    format: OutputFormat,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let archive = arguments.meant.open()?;
    // All are listed here, each with what the register finds wrong with it.
    let unregistered = Unregistered { with_unregistered: true };
    let filter = arguments.meant.filter(arguments.rehearsals, unregistered);
    let damaged = archive.damaged().map_err(Fault::failed)?;
    let vouched = archive.vouched().map_err(Fault::failed)?;
    match arguments.format {
        OutputFormat::Json => print_all(&archive, &filter, &damaged, &vouched)?,
        OutputFormat::Text => {
            let listed = archive.records(&filter).map_err(Fault::failed)?;
            let mut sheet = Sheet::new(terminal::out_style());
            vouched::words(&mut sheet, &vouched, &damaged, Counts::Listed);
            sheet.rule(asked::mark(listed.iter().map(|record| record.mode)));
            listed.iter().for_each(|record| text(&mut sheet, record));
            sheet.line(Tone::Strong, &asked::counted(listed.len(), "record"));
            let left_out = archive.unreal(&filter).map_err(Fault::failed)?;
            if left_out > 0 && !filter.with_rehearsals {
                let runs = asked::counted(left_out, "more run");
                let words = format!("{runs} not real, shown by --with-rehearsals");
                sheet.line(Tone::Faint, &words);
            }
            asked::damaged(&mut sheet, &damaged);
            terminal::out(&sheet.finish());
        }
    }
    Ok(Exit::Finished)
}

/// How much is put together before it is written out (bytes).
const PIECE: usize = 64 * 1024;

/// Prints the records as they come out of the index: all of a large archive would take memory by the hundred megabytes.
fn print_all(
    archive: &Archive,
    filter: &Filter,
    damaged: &[Damaged],
    vouched: &Vouched,
) -> Result<(), Fault> {
    let mut piece = String::from("{\"records\": [");
    let mut separator = "\n";
    let each = archive.each_record(filter, |record| {
        piece.push_str(separator);
        piece.push_str(&clean_json(&json!(record).to_string()));
        separator = ",\n";
        if piece.len() >= PIECE {
            terminal::out(&std::mem::take(&mut piece));
        }
    });
    each.map_err(Fault::failed)?;
    let (damaged, register) = (json!(damaged), json!(vouched));
    let rest = format!("\n],\n\"damaged\": {damaged},\n\"register\": {register}}}\n");
    piece.push_str(&clean_json(&rest));
    terminal::out(&piece);
    Ok(())
}

fn text(sheet: &mut Sheet, record: &Listed) {
    let (tone, outcome) = match record.outcome {
        Some(Outcome::Finished) => (Tone::Good, Outcome::Finished.words()),
        Some(other) => (Tone::Bad, other.words()),
        None => (Tone::Caution, "not closed"),
    };
    let unsafe_end = if record.safe == Some(false) { ", NOT CONFIRMED SAFE" } else { "" };
    let amended = match record.amendments {
        0 => String::new(),
        count => {
            let count = usize::try_from(count).unwrap_or(usize::MAX);
            format!(", {} afterwards", asked::counted(count, "amendment"))
        }
    };
    let day = record.opened_at.split('T').next().unwrap_or_default();
    let mode = asked::aside(record.mode);
    let (tone, void) = if record.void { (Tone::Bad, "VOID; ") } else { (tone, "") };
    let is_vouched = record.wrong.is_none();
    let (tone, wrong) = if is_vouched { (tone, "") } else { (Tone::Bad, "NOT AS REGISTERED; ") };
    sheet.indented(
        tone,
        &format!("{day}  "),
        &format!("{wrong}{void}{outcome}{unsafe_end}{amended}{mode}"),
    );
    let equipment = record.equipment.as_deref().unwrap_or("equipment not named");
    let serial = record.serial.iter().map(|serial| format!(", serial {serial}"));
    sheet.indented(Tone::Plain, "  ", &format!("{equipment}{}", serial.collect::<String>()));
    sheet.indented(Tone::Plain, "  ", &record.title);
    let run = asked::run_of(&record.file);
    sheet.indented(Tone::Faint, "  ", &format!("{run}, by {}", record.operator));
}
