//! What the index keeps of one journal.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use chrono::{DateTime, Datelike, FixedOffset};

use super::glance::{
    Closed, EventGlance, FactGlance, Glance, JudgedGlance, OpeningGlance, ReadingGlance,
};
use super::instruments::{BenchFiles, InstrumentWords};
use crate::journal::{self, JournalError};
use crate::record::Origin;
use crate::window::Verdict;

/// A journal as it is when it is read.
pub(super) enum Summary {
    Sound(Box<SoundSummary>),
    Damaged(String),
}

pub(super) struct SoundSummary {
    pub(super) head: String,
    pub(super) entries: usize,
    pub(super) is_torn: bool,
    pub(super) opening: OpeningGlance,
    pub(super) opened: DateTime<FixedOffset>,
    pub(super) last_day: i32,
    pub(super) closed: Option<Closed>,
    pub(super) is_void: bool,
    pub(super) amendments: i64,
    pub(super) people: BTreeSet<String>,
    pub(super) instruments: BTreeSet<String>,
    pub(super) readings: Vec<SummaryRow>,
}

/// A judged reading; values in base units.
pub(super) struct SummaryRow {
    pub(super) key: String,
    pub(super) what: String,
    pub(super) at: i64,
    pub(super) day: i32,
    pub(super) value: Option<f64>,
    pub(super) unit: String,
    pub(super) low: Option<f64>,
    pub(super) high: Option<f64>,
    pub(super) expected: Option<f64>,
    pub(super) open_ok: bool,
    pub(super) verdict: Verdict,
    pub(super) origin: Origin,
    pub(super) meter: Option<String>,
    pub(super) by: String,
}

impl Summary {
    /// Reads a journal; whatever keeps it from being read is its damage.
    pub(super) fn read(path: &Path, benches: &BenchFiles) -> Self {
        let contents = match journal::read_file::<Glance>(path) {
            Ok(contents) => contents,
            // The path stands beside it wherever it is shown.
            Err(JournalError::Damaged { damage, .. }) => return Self::Damaged(damage.to_string()),
            Err(other) => return Self::Damaged(other.to_string()),
        };
        let (entries, is_torn) = (contents.entries.len(), contents.torn.is_some());
        match SoundSummary::of(contents.entries, benches) {
            Ok(sound) => Self::Sound(Box::new(SoundSummary {
                head: contents.head,
                entries,
                is_torn,
                ..sound
            })),
            Err(damage) => Self::Damaged(damage),
        }
    }
}

impl SoundSummary {
    /// How many readings were taken without a meter being named.
    pub(super) fn unnamed(&self) -> usize {
        let is_taken = |row: &&SummaryRow| row.origin != Origin::WorkedOut;
        self.readings.iter().filter(is_taken).filter(|row| row.meter.is_none()).count()
    }

    fn of(entries: Vec<Glance>, benches: &BenchFiles) -> Result<Self, String> {
        let mut entries = entries.into_iter();
        let first = entries.next().map(|first| (first.event, first.at.wall, first.facts, first.by));
        let Some((EventGlance::Started(opening), wall, facts, by)) = first else {
            return Err("line 1 is not the start of a run".to_owned());
        };
        let instruments = opening.bench.as_ref().map(|bench| benches.instruments(bench));
        let instruments = instruments.unwrap_or_default();
        let opened = moment(&wall, 1)?;
        let mut sound = Self {
            head: String::new(),
            entries: 0,
            is_torn: false,
            opened,
            last_day: opened.num_days_from_ce(),
            people: BTreeSet::from([opening.operator.clone()]),
            opening: *opening,
            closed: None,
            is_void: false,
            amendments: 0,
            instruments: BTreeSet::new(),
            readings: Vec::new(),
        };
        sound.conclude(facts, &wall, &by, None, 1)?;
        let last = entries.as_slice().last().map(|last| last.at.wall.clone());
        let last_number = entries.len() + 1;
        for (number, entry) in (2..).zip(entries) {
            sound.add(entry, &instruments, number)?;
        }
        if let Some(wall) = last {
            sound.last_day = moment(&wall, last_number)?.num_days_from_ce();
        }
        Ok(sound)
    }

    fn add(
        &mut self,
        entry: Glance,
        instruments: &Arc<InstrumentWords>,
        number: usize,
    ) -> Result<(), String> {
        let in_words = |name: String| instruments.get(&name).cloned().unwrap_or(name);
        let meter = match entry.event {
            EventGlance::Measured(name) => Some(in_words(name)),
            EventGlance::Instrument(name) => {
                self.instruments.insert(in_words(name));
                None
            }
            EventGlance::Resumed => {
                self.closed = None;
                None
            }
            EventGlance::Voided => {
                self.is_void = true;
                None
            }
            EventGlance::Amended => {
                self.amendments += 1;
                None
            }
            EventGlance::Started(_) | EventGlance::Other => None,
        };
        self.instruments.extend(meter.clone());
        self.conclude(entry.facts, &entry.at.wall, &entry.by, meter.as_deref(), number)?;
        if !self.people.contains(&entry.by) {
            self.people.insert(entry.by);
        }
        Ok(())
    }

    fn conclude(
        &mut self,
        facts: Vec<FactGlance>,
        wall: &str,
        by: &str,
        meter: Option<&str>,
        number: usize,
    ) -> Result<(), String> {
        for fact in facts {
            match fact {
                FactGlance::Judged(judged) => {
                    let row = row(*judged, moment(wall, number)?, by, meter, number)?;
                    if let Some(meter) =
                        row.meter.as_ref().filter(|meter| !self.instruments.contains(*meter))
                    {
                        self.instruments.insert(meter.clone());
                    }
                    self.readings.push(row);
                }
                FactGlance::Closed(closed) => self.closed = Some(closed),
                FactGlance::Second(by) => {
                    self.people.insert(by);
                }
                FactGlance::Other => {}
            }
        }
        Ok(())
    }
}

fn moment(wall: &str, number: usize) -> Result<DateTime<FixedOffset>, String> {
    DateTime::parse_from_rfc3339(wall)
        .map_err(|_| format!("entry {number} has no time that can be read"))
}

fn row(
    judged: JudgedGlance,
    at: DateTime<FixedOffset>,
    by: &str,
    meter: Option<&str>,
    number: usize,
) -> Result<SummaryRow, String> {
    let limit = |text: Option<String>| text.map(|text| base(&text, number)).transpose();
    Ok(SummaryRow {
        value: match judged.reading {
            ReadingGlance::Number(text) => Some(base(&text, number)?),
            ReadingGlance::OverRange => Some(f64::INFINITY),
            ReadingGlance::NotANumber => None,
        },
        low: limit(judged.bounds.low)?,
        high: limit(judged.bounds.high)?,
        expected: limit(judged.bounds.expected)?,
        key: judged.key,
        what: judged.what,
        at: at.timestamp_millis(),
        day: at.num_days_from_ce(),
        unit: judged.unit,
        open_ok: judged.bounds.open_ok,
        verdict: judged.verdict,
        origin: judged.origin,
        // The words of the verdict come first: they are what it was decided with.
        meter: judged.decision.meter.or_else(|| meter.map(str::to_owned)),
        by: by.to_owned(),
    })
}

/// The number of a value as records write it, in base units.
fn base(text: &str, number: usize) -> Result<f64, String> {
    let digits = text.split(' ').next().unwrap_or_default();
    let value = digits.parse::<f64>().ok().filter(|value| value.is_finite());
    value.ok_or_else(|| format!("entry {number} has a value that can't be read: {text}"))
}
