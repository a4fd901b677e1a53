//! What became of every fault, for a person and for a program.

use serde_json::{Value, json};

use crate::circuit::coverage::{FaultCoverage, FaultOutcome, Worst};
use crate::quantity::{Dimension, Quantity};
use crate::report::document::{Block, Cell, Row, Table};
use crate::report::{Document, Tone};
use crate::shell::fault::Fault;

/// For programs.
pub(super) fn json(title: &str, coverage: &FaultCoverage) -> Result<Value, Fault> {
    let named = |faults: &mut dyn Iterator<Item = &FaultOutcome>| -> Vec<String> {
        faults.map(|outcome| outcome.fault.clone()).collect()
    };
    Ok(json!({
        "mode": "rehearsal",
        "title": title,
        "coverage": serde_json::to_value(coverage).map_err(Fault::failed)?,
        "uncaught": named(&mut coverage.uncaught()),
        "overloaded_on_mains": named(&mut coverage.destructive()),
        "stopped_at": coverage.stopped_at(),
        "stops_nothing": coverage.idle(),
        "spare": coverage.spare(),
    }))
}

/// What the table is of.
pub(super) struct Heading {
    pub(super) title: String,
    pub(super) procedure: String,
    pub(super) equipment: Option<String>,
    pub(super) circuit: String,
}

impl Heading {
    /// What was rehearsed on what; `more` of it, and how many operating points by which version of the simulator.
    pub(super) fn fields(&self, more: Option<(&str, String)>, engine: String) -> Block {
        let fields = [
            self.equipment.clone().map(|equipment| ("equipment", equipment)),
            Some(("circuit", self.circuit.clone())),
            more,
            Some(("operating points", engine)),
        ];
        let fields = fields.into_iter().flatten();
        Block::Fields(fields.map(|(name, text)| (name.to_owned(), text)).collect())
    }

    /// The document of a rehearsal of faults or of tolerances.
    pub(super) fn document(&self, of: &str, blocks: Vec<Block>) -> Document {
        Document {
            title: self.title.clone(),
            id: format!("{of} of {}", self.procedure),
            marks: vec!["REHEARSAL on a model of the circuit, not on equipment".to_owned()],
            program: concat!("wattstep ", env!("CARGO_PKG_VERSION")).to_owned(),
            moment: None,
            blocks,
        }
    }
}

/// For people.
pub(super) fn document(heading: &Heading, coverage: &FaultCoverage) -> Document {
    let engine = format!("{} by ngspice {}", coverage.cases, coverage.engine);
    let mut blocks = vec![heading.fields(None, engine)];
    blocks.extend(summary(coverage));
    blocks.extend(missing(coverage));
    blocks.extend(lists(coverage));
    blocks.extend([Block::Heading("Fault by fault".to_owned()), faults(coverage)]);
    blocks.push(Block::Text(
        Tone::Faint,
        "Looks, cold readings and signals are not in it, nor what a part does between two steps. It advises; you decide.".to_owned(),
    ));
    heading.document("faults", blocks)
}

fn summary(coverage: &FaultCoverage) -> Vec<Block> {
    let (all, missed) = (coverage.faults.len(), coverage.uncaught().count());
    let unknown = coverage.faults.iter().filter(|outcome| outcome.unknown.is_some()).count();
    let stopped = all - missed - unknown;
    let words = format!("{stopped} of {all} faults are stopped, {missed} are not");
    let mut blocks = vec![Block::Text(Tone::Strong, words)];
    if unknown > 0 {
        blocks.push(Block::Text(Tone::Bad, format!("of {unknown} NOTHING IS KNOWN")));
    }
    let on_mains = coverage.faults.iter().filter(|outcome| outcome.reaches_mains).count();
    blocks.push(Block::Text(Tone::Plain, format!("{on_mains} reach the direct mains")));
    let direct: Vec<_> = coverage.destructive().map(|outcome| outcome.fault.clone()).collect();
    if !direct.is_empty() {
        let words = format!("on the direct mains with a part OVERLOADED: {}", direct.join(", "));
        blocks.push(Block::Text(Tone::Bad, words));
    }
    blocks
}

/// What a reading more would stop.
fn missing(coverage: &FaultCoverage) -> Vec<Block> {
    if coverage.missing.is_empty() {
        return Vec::new();
    }
    let mut table = Table::new(&[
        ("point", 0.2),
        ("behind step", 0.2),
        ("sound", 0.24),
        ("it would stop", 0.36),
    ]);
    table.rows = coverage
        .missing
        .iter()
        .map(|reading| {
            let stops = format!("{}: {}", reading.stops.len(), reading.stops.join(", "));
            Row::Cells(vec![
                Cell::toned(Tone::Strong, reading.point.clone()),
                Cell::of(reading.after.clone()).and(Tone::Faint, reading.stage.clone()),
                Cell::of(reading.due.clone()),
                Cell::of(stops),
            ])
        })
        .collect();
    vec![
        Block::Heading("Readings that would stop most of the rest".to_owned()),
        Block::Text(
            Tone::Plain,
            "Each with what it adds to those above it; a fifth more or less than the sound circuit, and at least 50 mV or 1 mA, is common practice, no source.".to_owned(),
        ),
        Block::Table(table),
    ]
}

fn lists(coverage: &FaultCoverage) -> Vec<Block> {
    let owned = |names: Vec<&str>| names.into_iter().map(str::to_owned).collect::<Vec<_>>();
    let stops = coverage.stopped_at();
    let stops = stops.iter().map(|(step, count)| format!("{step} {count}")).collect();
    let lists = [
        ("stopped at", stops),
        ("where nothing is stopped that was not before", owned(coverage.idle())),
        (
            "any one of these could be spared: no fault would go a stage further",
            owned(coverage.spare()),
        ),
        ("not in the circuit, so not judged", coverage.unread.clone()),
        ("no parts of the circuit file, so not tried", coverage.untried.clone()),
    ];
    let fields = lists.into_iter().filter(|(_, names)| !names.is_empty());
    let fields = fields.map(|(words, names)| (words.to_owned(), names.join(", ")));
    vec![Block::Heading("Step by step".to_owned()), Block::Fields(fields.collect())]
}

fn faults(coverage: &FaultCoverage) -> Block {
    let mut table =
        Table::new(&[("fault", 0.2), ("what becomes of it", 0.4), ("worst part until then", 0.4)]);
    table.rows = coverage.faults.iter().map(fault).collect();
    Block::Table(table)
}

fn fault(outcome: &FaultOutcome) -> Row {
    let place = outcome.position.as_ref().map(|place| format!(", {place}")).unwrap_or_default();
    let name = Cell::toned(Tone::Strong, format!("{}{place}", outcome.fault));
    if let Some(why) = &outcome.unknown {
        return Row::Wide(name, Cell::toned(Tone::Bad, "NOT KNOWN").and(Tone::Plain, why.clone()));
    }
    let became = match &outcome.stop {
        Some(stop) => {
            let words = format!("stopped at {} on {}", stop.step, stop.source.words());
            Cell::toned(Tone::Good, words).and(Tone::Plain, stop.reads.clone())
        }
        None => {
            let reached = if outcome.reaches_mains { ", and reaches the direct mains" } else { "" };
            Cell::toned(Tone::Caution, format!("NOT STOPPED{reached}"))
        }
    };
    let worst = outcome.worst.as_ref().map(|worst| borne(worst, outcome.overloads()));
    Row::Cells(vec![name, became, worst.unwrap_or_default()])
}

fn borne(worst: &Worst, overloads: bool) -> Cell {
    let joules = worst.joules.and_then(|energy| Quantity::from_f64(energy, Dimension::ENERGY));
    let joules = joules.map(|energy| format!(", {} until then", energy.engineering(3, None)));
    let joules = joules.unwrap_or_default();
    let (tone, word) = if overloads { (Tone::Bad, "OVERLOADED ") } else { (Tone::Faint, "") };
    let Worst { part, most, rating, times, .. } = worst;
    Cell::toned(tone, format!("{word}{part}: {most} of {rating} ({times:.2} times){joules}"))
}
