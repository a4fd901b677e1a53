//! Years of records of a shop, invented: written through the real journal, but without waiting for the disk.

use std::fs::File;
use std::io::{self, BufWriter, Write as _};
use std::path::Path;

use chrono::{DateTime, Duration, FixedOffset};
use wattstep::test_points::journal::{
    Change, Disk, Journal, REGISTER, RecordEnd, Registration, sha256_hex,
};
use wattstep::test_points::quantity::{Quantity, Reading, Unit};
use wattstep::test_points::record::{
    Decision, Energy, Entry, Event, FORMAT, Fact, Mode, Moment, Opening, Origin, Outcome, Provided,
    Source, VoidedRecord,
};
use wattstep::test_points::window::Bounds;

/// Entries of a record.
pub(crate) const ENTRIES: usize = 50;

const PROCEDURE: &str = include_str!("lantern.yaml");

const BENCH: &str = "format: 1
bench: Long bench (invented)
instruments:
  meter: {what: Sallow hand meter (invented), serial: SM-1, calibration_due: 2031-01-31}
  supply: {what: Tarn supply (invented), serial: TS-7, role: supply}
";

/// Readings of a run beside `idle-plus`.
const OTHERS: u32 = 15;

/// One run of the shop.
#[derive(Clone, Debug)]
pub(crate) struct Run {
    pub(crate) name: String,
    pub(crate) mode: Mode,
    pub(crate) opened: DateTime<FixedOffset>,
    pub(crate) operator: String,
    pub(crate) procedure: String,
    pub(crate) equipment: String,
    pub(crate) serial: String,
    /// The meter of `idle-plus`, in words; the others name none.
    pub(crate) meter: Option<String>,
    /// The instrument that sent `idle-plus`, by its name on the bench; without one a person typed it.
    pub(crate) sent_by: Option<String>,
    /// Answers to `idle-plus` in mA, one after the other.
    pub(crate) idle: Vec<f64>,
    pub(crate) outcome: Option<Outcome>,
    /// Why it was declared void afterwards.
    pub(crate) void: Option<String>,
}

/// Numbers from 0 to 1 that look random and are the same every time.
fn uniform(seed: u64) -> f64 {
    let mut mixed = seed.wrapping_add(0x9E37_79B9_7F4A_7C15);
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    (mixed ^ (mixed >> 31)) as f64 / u64::MAX as f64
}

/// A value that is spread nearly normally around 0, with a deviation of 1.
fn bell(seed: u64) -> f64 {
    (0..12).map(|part| uniform(seed * 12 + part)).sum::<f64>() - 6.0
}

impl Run {
    /// The run of this number: every 25th stops on its idle current, every 40th is a rehearsal.
    pub(crate) fn nth(number: u32) -> Self {
        let start = DateTime::parse_from_rfc3339("2021-03-01T08:00:00+01:00").unwrap();
        let bad = number % 25 == 24;
        let idle = 41.0 + 0.5 * bell(number.into()) + if bad { 40.0 } else { 0.0 };
        Self {
            name: format!("run-{number:06}"),
            mode: if number % 40 == 39 { Mode::Rehearsal } else { Mode::Real },
            opened: start + Duration::hours(7 * i64::from(number)),
            operator: format!("Kim Example-{} (invented)", number % 7),
            procedure: "lantern".to_owned(),
            equipment: format!("Pellow lantern {} (invented)", number % 20),
            serial: format!("L-{number:06}"),
            meter: Some(format!("Sallow hand meter (invented), serial SM-{}", number % 3)),
            sent_by: None,
            idle: vec![(idle * 100.0).round() / 100.0],
            outcome: Some(if bad { Outcome::StoppedOnReading } else { Outcome::Finished }),
            void: None,
        }
    }

    /// Writes its record into a folder, and gives what a register is told of it.
    pub(crate) fn write(&self, folder: &Path) -> [Registration; 2] {
        let path = folder.join(format!("{}.jsonl", self.name));
        let disk = Unsynced(BufWriter::new(File::create(&path).unwrap()));
        let mut journal = Journal::over(disk, path);
        let mut first = None;
        for (number, (event, facts)) in (0..).zip(self.entries()) {
            let wall = self.opened + Duration::seconds(30 * number);
            let at = Moment { wall, elapsed_ms: 30_000 * number.unsigned_abs() };
            journal.append(&Entry { at, by: self.operator.clone(), event, facts }).unwrap();
            first.get_or_insert_with(|| journal.head().to_owned());
        }
        let opened = Change::Opened {
            first: first.unwrap(),
            program: "0.0.0".to_owned(),
            mode: self.mode,
            operator: self.operator.clone(),
        };
        let end = RecordEnd { lines: journal.lines(), head: journal.head().to_owned(), torn: None };
        let outcome = self.outcome.unwrap_or(Outcome::LeftUnfinished);
        [opened, Change::Ended { end, outcome }].map(|what| Registration {
            at: self.opened,
            run: self.name.clone(),
            what,
        })
    }

    fn entries(&self) -> Vec<(Event, Vec<Fact>)> {
        let mut entries = vec![(Event::Started(Box::new(self.opening())), Vec::new())];
        let energy = Fact::Energy {
            state: Energy::Energised { source: Source::BenchSupply, ceiling: None },
        };
        entries.push((acknowledged("feed-on"), vec![energy]));
        for (attempt, value) in (1..).zip(&self.idle) {
            let window = Bounds::between(quantity("20 mA"), quantity("60 mA")).unwrap();
            let text = format!("{value} mA");
            let fact = judged("idle-plus", attempt, &text, window, self.meter.clone());
            let key = "idle-plus";
            let event = match self.sent_by.clone() {
                Some(instrument) => Event::Measured { key: key.into(), text, instrument },
                None => entered(key, &text),
            };
            entries.push((event, vec![fact]));
        }
        for number in 0..OTHERS {
            let (key, text) = (
                format!("point-{number}"),
                format!("{} V", f64::from(number) + uniform(number.into())),
            );
            let fact = judged(&key, 1, &text, Bounds::at_most(quantity("60 V")), None);
            entries.push((entered(&key, &text), vec![fact]));
        }
        while entries.len() + 1 < ENTRIES {
            let key = format!("step-{}", entries.len());
            let done = Fact::Done {
                key: key.as_str().into(),
                what: "Put the cover of the lantern back on its four posts".to_owned(),
            };
            entries.push((acknowledged(&key), vec![done]));
        }
        if let Some(outcome) = self.outcome {
            let closed =
                Fact::Closed { outcome, energy: Energy::ProvedDead, safe: true, resumable: false };
            entries.push((Event::Ticked, vec![closed]));
        }
        if let Some(why) = self.void.clone() {
            entries.push((
                Event::Voided { why: why.clone(), with: None },
                vec![Fact::Voided(VoidedRecord { why, with: None })],
            ));
        }
        entries
    }

    fn opening(&self) -> Opening {
        let file = |name: &str, text: &str| Provided {
            name: name.to_owned(),
            sha256: sha256_hex(text.as_bytes()),
            text: text.to_owned(),
        };
        Opening {
            judged_at: None,
            format: FORMAT,
            run: self.name.clone(),
            program: "0.0.0".to_owned(),
            mode: self.mode,
            operator: self.operator.clone(),
            title: format!("First power of a lantern ({}, revision 3)", self.procedure),
            equipment_name: Some(format!("{}, serial {}", self.equipment, self.serial)),
            procedure: file("lantern.yaml", PROCEDURE),
            equipment: None,
            bench: Some(file("bench.yaml", BENCH)),
            people: None,
            signers: None,
            approval: None,
            rehearsal: None,
        }
    }
}

fn quantity(text: &str) -> Quantity {
    Quantity::parse(text).unwrap()
}

fn acknowledged(key: &str) -> Event {
    Event::Acknowledged { key: key.into(), origin: Origin::Typed }
}

fn entered(key: &str, text: &str) -> Event {
    Event::Entered {
        key: key.into(),
        text: text.to_owned(),
        origin: Origin::Typed,
        signature: None,
    }
}

fn judged(key: &str, attempt: u32, text: &str, bounds: Bounds, meter: Option<String>) -> Fact {
    let reading = Reading::Number(quantity(text));
    let unit = text.split(' ').next_back().unwrap();
    Fact::Judged {
        key: key.into(),
        what: format!("What is measured at {key}, meter as the step says"),
        attempt,
        text: text.to_owned(),
        unit: Unit::parse(unit).unwrap(),
        origin: Origin::Typed,
        verdict: bounds.judge(&reading),
        reading,
        bounds: Box::new(bounds),
        basis: Some("shop rule of the invented workshop".to_owned()),
        decision: Box::new(Decision { meter, ..Decision::default() }),
    }
}

/// Begins the register of a folder with these lines.
pub(crate) fn register(folder: &Path, lines: impl IntoIterator<Item = Registration>) {
    let path = folder.join(REGISTER);
    let disk = Unsynced(BufWriter::new(File::create(&path).unwrap()));
    let mut journal = Journal::over(disk, path);
    lines.into_iter().for_each(|line| journal.append(&line).unwrap());
}

/// A disk that is never waited for.
struct Unsynced(BufWriter<File>);

impl Disk for Unsynced {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.0.write_all(bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        Ok(())
    }
}
