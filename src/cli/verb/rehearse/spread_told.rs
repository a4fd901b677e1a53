//! How sound sets are spread in the windows of a procedure, for a person and for a program.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::told::Heading;
use crate::circuit::spread::{ReadingSpread, SoundSpread, WindowFit};
use crate::report::document::{Block, Cell, Row, Table};
use crate::report::{Document, Tone};
use crate::shell::fault::Fault;
use crate::statistics::Share;

/// How many windows that are too wide are named before the table: those with most room.
const WIDEST: usize = 5;

/// For programs.
pub(super) fn json(title: &str, spread: &SoundSpread) -> Result<Value, Fault> {
    let named = |readings: &mut dyn Iterator<Item = &ReadingSpread>| -> Vec<String> {
        readings.map(|reading| reading.step.clone()).collect()
    };
    Ok(json!({
        "mode": "rehearsal",
        "title": title,
        "spread": serde_json::to_value(spread).map_err(Fault::failed)?,
        "too_tight": named(&mut spread.too_tight()),
        "too_wide": named(&mut spread.too_wide().into_iter()),
    }))
}

/// For people.
pub(super) fn document(heading: &Heading, spread: &SoundSpread) -> Document {
    let sets = format!("{}, drawn from seed {}", spread.draws, spread.seed);
    let engine = format!("{} by ngspice {}", spread.cases, spread.engine);
    let mut blocks = vec![heading.fields(Some(("sound sets", sets)), engine)];
    blocks.extend(summary(spread));
    blocks.extend([Block::Heading("Reading by reading".to_owned()), readings(spread)]);
    blocks.push(Block::Text(
        Tone::Faint,
        "Low and high are what a fortieth of the sets is below and above. TOO TIGHT: more than 1 in 100 sound sets is outside, surely (the lower end of the interval). Too wide: none is outside, and from the middle to the nearest limit it is more than ten times as far as to the end of the spread. A window that goes by earlier readings is judged as each set has it, and shown as the set without tolerances has it. Both limits are common practice, no source. What moves a reading most is that with the largest rank correlation (Spearman), where it stands out from chance; + it rises with it.".to_owned(),
    ));
    blocks.extend([Block::Heading("What was drawn".to_owned()), drawn(spread)]);
    blocks.push(Block::Text(
        Tone::Faint,
        "The meters' doubt is not in it, nor the transformer and the reservoirs. Of several operating points a set has the one that the solver comes to. It advises; you decide.".to_owned(),
    ));
    heading.document("tolerances", blocks)
}

fn summary(spread: &SoundSpread) -> Vec<Block> {
    let mut blocks = Vec::new();
    if let Some(share) = &spread.false_stops {
        let words =
            format!("{} of {} sound sets are stopped: {}", share.count, share.of, percent(share));
        blocks.push(Block::Text(Tone::Strong, words));
    }
    if let Some(first) = spread.lost.first() {
        let words =
            format!("of {} sets NOTHING IS KNOWN; the first: {}", spread.lost.len(), first.why);
        blocks.push(Block::Text(Tone::Bad, words));
    }
    let stops = spread.stopped_at.iter().map(|stop| format!("{} {}", stop.step, stop.count));
    let wide = spread.too_wide();
    let mut widest = steps(&mut wide.iter().copied().take(WIDEST));
    if let Some(more) = wide.len().checked_sub(WIDEST).filter(|more| *more > 0) {
        widest.push(format!("{more} more below"));
    }
    let lists = [
        ("stopped at first", stops.collect::<Vec<_>>()),
        ("windows that are TOO TIGHT", steps(&mut spread.too_tight())),
        ("windows that are too wide", widest),
    ];
    let fields = lists.into_iter().filter(|(_, names)| !names.is_empty());
    let fields: Vec<_> =
        fields.map(|(words, names)| (words.to_owned(), names.join(", "))).collect();
    if !fields.is_empty() {
        blocks.push(Block::Fields(fields));
    }
    blocks
}

fn steps(readings: &mut dyn Iterator<Item = &ReadingSpread>) -> Vec<String> {
    let words = |reading: &ReadingSpread| match &reading.mover {
        Some(mover) => format!("{} (most by {})", reading.step, mover.name),
        None => reading.step.clone(),
    };
    readings.map(words).collect()
}

/// A share with its interval.
fn percent(share: &Share) -> String {
    format!(
        "{:.1} % ({:.1} % to {:.1} %, 95 % sure)",
        100.0 * share.value(),
        100.0 * share.low,
        100.0 * share.high
    )
}

fn readings(spread: &SoundSpread) -> Block {
    let mut table = Table::new(&[
        ("step", 0.24),
        ("low, middle, high", 0.26),
        ("window", 0.28),
        ("moved most by", 0.22),
    ]);
    table.rows = spread.readings.iter().map(row).collect();
    Block::Table(table)
}

fn row(reading: &ReadingSpread) -> Row {
    let outside = (reading.outside.count > 0)
        .then(|| format!("outside {} of {}", reading.outside.count, reading.outside.of));
    let (tone, fit) = match reading.fit {
        WindowFit::Fits | WindowFit::RecordOnly => (Tone::Plain, None),
        WindowFit::TooTight => (Tone::Bad, Some("TOO TIGHT".to_owned())),
        WindowFit::TooWide => (Tone::Faint, Some("too wide".to_owned())),
    };
    let moving = if reading.is_moving { ", by earlier readings" } else { "" };
    let window = format!("{}{moving}", reading.window);
    let mover = reading.mover.as_ref();
    let mover = mover.map(|mover| format!("{} ({:+.2})", mover.name, mover.correlation));
    Row::Cells(vec![
        Cell::toned(Tone::Strong, reading.step.clone()),
        Cell::of(reading.words.join(", ")),
        Cell::of(window).maybe(tone, fit).maybe(Tone::Caution, outside),
        Cell::of(mover.unwrap_or_else(|| "nothing stands out".to_owned())),
    ])
}

/// What was off, those that are alike together.
fn drawn(spread: &SoundSpread) -> Block {
    let mut alike: BTreeMap<String, Vec<&str>> = BTreeMap::new();
    for drawn in &spread.drawn {
        let words = format!("{} % either way, {}", 100.0 * drawn.within, drawn.shape.word());
        alike.entry(words).or_default().push(&drawn.name);
    }
    let mut fields: Vec<_> =
        alike.into_iter().map(|(words, names)| (words, names.join(", "))).collect();
    if !spread.undrawn.is_empty() {
        fields.push(("at their values".to_owned(), spread.undrawn.join(", ")));
    }
    Block::Fields(fields)
}
