//! What is asked of the archive: which records, and how they are opened and told of.

use chrono::NaiveDate;
use clap::{Args, ValueEnum};

use super::Records;
use crate::archive::{Archive, Damaged, Ended, Filter, Thoroughness};
use crate::quantity::{Quantity, Unit};
use crate::record::{Mode, Outcome};
use crate::report::{Sheet, Tone};
use crate::shell::fault::Fault;

/// Which records are meant.
#[derive(Debug, Args)]
pub(super) struct Meant {
    #[command(flatten)]
    records: Records,
    /// Part of the equipment's name
    #[arg(long, value_name = "TEXT")]
    equipment: Option<String>,
    /// The equipment's serial number
    #[arg(long, value_name = "SERIAL")]
    serial: Option<String>,
    /// The procedure's name
    #[arg(long, value_name = "NAME")]
    procedure: Option<String>,
    /// How the run ended
    #[arg(long, value_enum, value_name = "OUTCOME")]
    outcome: Option<HowEnded>,
    /// Part of the name of a person who took part
    #[arg(long, value_name = "TEXT")]
    person: Option<String>,
    /// Part of an instrument's name or serial number
    #[arg(long, value_name = "TEXT")]
    instrument: Option<String>,
    /// The first day on which a run was started, as 2026-03-02
    #[arg(long, value_name = "DATE")]
    from: Option<NaiveDate>,
    /// The last such day
    #[arg(long, value_name = "DATE")]
    to: Option<NaiveDate>,
    #[command(flatten)]
    index: IndexOptions,
}

/// What is done with the index.
#[derive(Debug, Args)]
pub(super) struct IndexOptions {
    /// Read every record again instead of those that changed
    #[arg(long)]
    rebuild: bool,
    /// Look at every file again, also where nothing in the folder or the register has changed
    #[arg(long)]
    look_again: bool,
}

/// Whether records count that the register does not vouch for.
#[derive(Clone, Copy, Debug, Args)]
pub(super) struct Unregistered {
    /// Records too that are not as registered, or not registered at all
    #[arg(long)]
    pub(super) with_unregistered: bool,
}

/// Whether runs count that are not real.
#[derive(Clone, Copy, Debug, Args)]
pub(super) struct Rehearsals {
    /// Rehearsals and scripted runs too, each marked as such
    #[arg(long)]
    pub(super) with_rehearsals: bool,
}

/// How a run ended, as it is asked for.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum HowEnded {
    /// Every stage held
    Finished,
    /// Left by the person or for want of an answer
    LeftUnfinished,
    /// Stopped on a reading outside its window
    StoppedOnReading,
    /// A value could not be worked out
    CouldNotWorkOut,
    /// An instrument was lost or tripped
    InstrumentLost,
    /// The record could not be written
    CouldNotRecord,
    /// The run is not closed
    NotClosed,
}

impl From<HowEnded> for Ended {
    fn from(how: HowEnded) -> Self {
        match how {
            HowEnded::Finished => Self::With(Outcome::Finished),
            HowEnded::LeftUnfinished => Self::With(Outcome::LeftUnfinished),
            HowEnded::StoppedOnReading => Self::With(Outcome::StoppedOnReading),
            HowEnded::CouldNotWorkOut => Self::With(Outcome::CouldNotWorkOut),
            HowEnded::InstrumentLost => Self::With(Outcome::InstrumentLost),
            HowEnded::CouldNotRecord => Self::With(Outcome::CouldNotRecord),
            HowEnded::NotClosed => Self::NotClosed,
        }
    }
}

impl Meant {
    /// Opens the archive, brought up to date.
    pub(super) fn open(&self) -> Result<Archive, Fault> {
        if let (Some(from), Some(to)) = (self.from, self.to)
            && from > to
        {
            return Err(Fault::usage(format!(
                "--from {from} is after --to {to}: no day lies between them"
            )));
        }
        self.index.open(&self.records)
    }

    pub(super) fn filter(&self, rehearsals: Rehearsals, unregistered: Unregistered) -> Filter {
        Filter {
            equipment: self.equipment.clone(),
            serial: self.serial.clone(),
            procedure: self.procedure.clone(),
            ended: self.outcome.map(Ended::from),
            person: self.person.clone(),
            instrument: self.instrument.clone(),
            from: self.from,
            to: self.to,
            with_rehearsals: rehearsals.with_rehearsals,
            with_unregistered: unregistered.with_unregistered,
        }
    }
}

impl IndexOptions {
    pub(super) fn open(&self, records: &Records) -> Result<Archive, Fault> {
        records.must_be_there()?;
        let folder = &records.records;
        let opened =
            if self.rebuild { Archive::open_rebuilt(folder) } else { Archive::open(folder) };
        let mut archive = opened.map_err(Fault::failed)?;
        let look = if self.look_again { Thoroughness::Every } else { Thoroughness::Quick };
        archive.refresh(look).map_err(Fault::failed)?;
        Ok(archive)
    }
}

/// The mark at the top of an answer in which not everything is real.
pub(super) fn mark(modes: impl Iterator<Item = Mode>) -> &'static str {
    let unreal = modes.filter(|mode| *mode != Mode::Real).count();
    if unreal > 0 { "WITH RUNS THAT ARE NOT REAL" } else { "" }
}

/// A mode as a word behind a line; nothing for a real run.
pub(super) fn aside(mode: Mode) -> &'static str {
    match mode {
        Mode::Real => "",
        Mode::Scripted => ", SCRIPTED",
        Mode::Rehearsal => ", REHEARSAL",
    }
}

/// The damaged records, which no answer takes in.
pub(super) fn damaged(sheet: &mut Sheet, damaged: &[Damaged]) {
    if damaged.is_empty() {
        return;
    }
    sheet.gap();
    sheet.line(Tone::Bad, &format!("{} DAMAGED, in no answer:", counted(damaged.len(), "record")));
    for record in damaged {
        sheet.indented(Tone::Bad, "  ", &record.file);
        sheet.indented(Tone::Plain, "    ", &record.damage);
    }
}

/// A number with its noun.
pub(super) fn counted(count: usize, noun: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{count} {noun}{ending}")
}

/// The run of a record, from the name of its file.
pub(super) fn run_of(file: &str) -> &str {
    file.strip_suffix(".jsonl").unwrap_or(file)
}

/// The day on the wall.
pub(super) fn day(day: i32) -> String {
    NaiveDate::from_num_days_from_ce_opt(day).map(|day| day.to_string()).unwrap_or_default()
}

/// A moment for programs, in UTC.
pub(super) fn moment(at: i64) -> Option<String> {
    chrono::DateTime::from_timestamp_millis(at).map(|at| at.to_rfc3339())
}

/// A value in base units as people read it.
pub(super) fn shown(value: f64, unit: &Unit) -> String {
    let quantity = Quantity::from_f64(value, unit.dimension());
    quantity.map_or_else(|| value.to_string(), |quantity| quantity.engineering(4, Some(unit)))
}

/// What a meter showed.
pub(super) fn reading(value: Option<f64>, unit: &Unit) -> String {
    match value {
        None => "no number".to_owned(),
        Some(value) if value.is_infinite() => "over range".to_owned(),
        Some(value) => shown(value, unit),
    }
}

/// A value for programs: JSON has no number for over range.
pub(super) fn json_value(value: Option<f64>) -> serde_json::Value {
    match value {
        Some(value) if value.is_infinite() => "over_range".into(),
        other => other.into(),
    }
}
