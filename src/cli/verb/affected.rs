//! `affected`: what a bad meter touched.

use chrono::NaiveDate;
use serde_json::{Value, json};

use super::asked::{self, IndexOptions, Rehearsals, Unregistered};
use super::{OutputFormat, Records, print_json, vouched};
use crate::archive::{Affected, Touched};
use crate::cli::exit::Exit;
use crate::diagnostic::cut;
use crate::quantity::Unit;
use crate::report::{Sheet, Tone};
use crate::shell::fault::Fault;
use crate::shell::terminal;

/// Find the readings that were taken with an instrument since a day
///
/// For an instrument that turns out to be off: every record it touched, and which readings in it.
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// Part of the instrument's name or serial number
    #[arg(long, value_name = "TEXT")]
    instrument: String,
    /// The first day that counts, as 2026-03-02: when the instrument was last known to be right
    #[arg(long, value_name = "DATE")]
    since: NaiveDate,
    #[command(flatten)]
    records: Records,
    #[command(flatten)]
    rehearsals: Rehearsals,
    #[command(flatten)]
    unregistered: Unregistered,
    #[command(flatten)]
    index: IndexOptions,
    /// How to print it
    #[arg(long, value_enum, default_value_t)]
    format: OutputFormat,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    if arguments.instrument.trim().is_empty() {
        return Err(Fault::usage("no instrument is named").help("give its serial number"));
    }
    let archive = arguments.index.open(&arguments.records)?;
    let (instrument, with) = (arguments.instrument.trim(), arguments.rehearsals.with_rehearsals);
    let unregistered = arguments.unregistered.with_unregistered;
    let affected = archive.affected(instrument, arguments.since, with, unregistered);
    let affected = affected.map_err(Fault::failed)?;
    let vouched = archive.vouched().map_err(Fault::failed)?;
    let damaged = archive.damaged().map_err(Fault::failed)?;
    match arguments.format {
        OutputFormat::Json => print_json(&json!({
            "readings": affected.readings.iter().map(as_json).collect::<Vec<_>>(),
            "used_in": affected.used_in,
            "records_with_unnamed_meters": affected.unnamed,
            "damaged": damaged,
            "register": vouched,
        })),
        OutputFormat::Text => {
            let mut sheet = Sheet::new(terminal::out_style());
            vouched::words(&mut sheet, &vouched, &damaged, arguments.unregistered.into());
            text(&mut sheet, &affected, arguments);
            asked::damaged(&mut sheet, &damaged);
            terminal::out(&sheet.finish());
        }
    }
    Ok(Exit::Finished)
}

fn text(sheet: &mut Sheet, affected: &Affected, arguments: &Arguments) {
    sheet.rule(asked::mark(affected.readings.iter().map(|reading| reading.mode)));
    let mut records = 0;
    let mut last: Option<&Touched> = None;
    for reading in &affected.readings {
        if last.is_none_or(|last| last.file != reading.file) {
            records += 1;
            record(sheet, reading);
        }
        if last.is_none_or(|last| last.file != reading.file || last.meter != reading.meter) {
            sheet.indented(Tone::Faint, "  ", &format!("with {}", reading.meter));
        }
        let (shown, verdict) = (value(reading), reading.verdict.words());
        let tone = if reading.verdict.is_inside() { Tone::Plain } else { Tone::Caution };
        sheet.indented(tone, "    ", &format!("{}: {shown}   {verdict}", reading.key));
        last = Some(reading);
    }
    let readings = asked::counted(affected.readings.len(), "reading");
    let records = asked::counted(records, "record");
    let (instrument, since) = (cut(arguments.instrument.trim(), 100), arguments.since);
    let words = format!("{readings} in {records} taken with \"{instrument}\" since {since}");
    sheet.line(Tone::Strong, &words);
    if !affected.used_in.is_empty() {
        sheet.line(Tone::Plain, "Used without a judged reading of its own in:");
        affected
            .used_in
            .iter()
            .for_each(|file| sheet.indented(Tone::Plain, "  ", asked::run_of(file)));
    }
    if affected.unnamed > 0 {
        let words = format!(
            "{} since then hold readings for which no meter is named: they may be touched too",
            asked::counted(usize::try_from(affected.unnamed).unwrap_or(usize::MAX), "record")
        );
        sheet.line(Tone::Caution, &words);
    }
}

fn record(sheet: &mut Sheet, reading: &Touched) {
    let equipment = reading.equipment.as_deref().unwrap_or("equipment not named");
    let serial = reading.serial.iter().map(|serial| format!(", serial {serial}"));
    let (day, mode) = (asked::day(reading.day), asked::aside(reading.mode));
    let void = if reading.void { ", VOID" } else { "" };
    let words = format!("{equipment}{}{void}{mode}", serial.collect::<String>());
    sheet.indented(Tone::Strong, &format!("{day}  "), &words);
    sheet.indented(Tone::Faint, "  ", asked::run_of(&reading.file));
}

fn value(reading: &Touched) -> String {
    let unit = Unit::parse(&reading.unit);
    unit.map_or_else(|_| "?".to_owned(), |unit| asked::reading(reading.value, &unit))
}

fn as_json(reading: &Touched) -> Value {
    json!({
        "file": reading.file,
        "mode": reading.mode,
        "void": reading.void,
        "equipment": reading.equipment,
        "serial": reading.serial,
        "key": reading.key,
        "what": &*reading.what,
        "at": asked::moment(reading.at),
        "value": asked::json_value(reading.value),
        "unit": &*reading.unit,
        "verdict": reading.verdict,
        "origin": reading.origin,
        "instrument": &*reading.meter,
    })
}
