//! Each stage with all that happened in it, in order.

use crate::procedure::step::Step;
use crate::record::{CourseItem, Fact, Happening, Key, Run, Trace};
use crate::report::decided::sure;
use crate::report::document::{Block, Cell, Row, Table};
use crate::report::entry_line::remarks;
use crate::report::gauge::gauge;
use crate::report::plot::plot;
use crate::report::sentence::sentence;
use crate::report::{Judged, ReportSubject, Tone, probed};
use crate::window::{Bounds, Verdict};

pub(super) const COLUMNS: [(&str, f64); 5] =
    [("time", 0.09), ("what", 0.33), ("reading", 0.18), ("window", 0.24), ("verdict", 0.16)];

/// The stage at hand.
struct Section {
    table: Table,
    figures: Vec<Block>,
}

impl Section {
    fn new() -> Self {
        Self { table: Table::new(&COLUMNS), figures: Vec::new() }
    }

    fn close(&mut self, blocks: &mut Vec<Block>) {
        let done = std::mem::replace(self, Self::new());
        if !done.table.rows.is_empty() {
            blocks.push(Block::Table(done.table));
        }
        blocks.extend(done.figures);
    }
}

pub(super) fn blocks(subject: &ReportSubject<'_>) -> Vec<Block> {
    let heading = "Every stage and every reading, in the order in which they were taken";
    let mut blocks = vec![Block::Heading(heading.to_owned())];
    let mut section = Section::new();
    let run = subject.run;
    for (n, item) in run.items.iter().enumerate() {
        if let Happening::Fact(fact) = &item.what
            && let Fact::StageOpened { title, source, ceiling, .. } = fact.as_ref()
        {
            section.close(&mut blocks);
            let ceiling =
                ceiling.as_ref().map(|ceiling| format!(", up to {ceiling}")).unwrap_or_default();
            blocks.push(Block::Subheading(title.clone()));
            let begun = item.at.format("%Y-%m-%d %H:%M:%S");
            let source = format!("Source: {}{ceiling}. Begun {begun}.", source.words());
            blocks.push(Block::Text(Tone::Faint, source));
        }
        if let Happening::Sampled { key, traces } = &item.what {
            section.figures.extend(figures(subject, key, traces));
        }
        section.table.rows.extend(row(item, subject));
        if run.items.get(n + 1).is_none_or(|next| next.line != item.line) {
            section.table.rows.extend(amendments(run, item.line));
        }
    }
    section.close(&mut blocks);
    blocks
}

/// What a line was amended to, below it: the line itself stands as it was written.
fn amendments(run: &Run, line: usize) -> impl Iterator<Item = Row> {
    run.amendments.iter().filter(move |amendment| amendment.line == line).map(|amendment| {
        let typed = run.opening.names().typed();
        let words =
            format!("AMENDED afterwards by {} (name {typed}): {}", amendment.by, amendment.text);
        let time = amendment.at.format("%H:%M:%S").to_string();
        Row::Wide(Cell::toned(Tone::Faint, time), Cell::toned(Tone::Caution, words))
    })
}

fn row(item: &CourseItem, subject: &ReportSubject<'_>) -> Option<Row> {
    let run = subject.run;
    let names = run.opening.names();
    let time = Cell::toned(Tone::Faint, item.at.format("%H:%M:%S").to_string());
    if let Some(judged) = Judged::of(item, "") {
        return Some(Row::Cells(reading(time, &judged, run.is_amended(item.line))));
    }
    let wide = |tone, words: String| Some(Row::Wide(time.clone(), Cell::toned(tone, words)));
    match &item.what {
        Happening::Fact(fact) => match fact.as_ref() {
            // These stand in tables of their own.
            Fact::Given { .. } | Fact::WorkedOut { .. } => None,
            Fact::Seen { what, attempt, text, origin, good, .. } => {
                let verdict = if *good { "good" } else { "NOT ACCEPTABLE" };
                let tone = if *good { Tone::Plain } else { Tone::Bad };
                let cells = vec![
                    time,
                    Cell::of(what.as_str()),
                    Cell::of(text.as_str()).and(Tone::Faint, origin_words(*attempt, *origin)),
                    Cell::default(),
                    Cell::toned(tone, verdict),
                ];
                Some(Row::Cells(cells))
            }
            Fact::LeftOut(key) => {
                let step = step_name(subject, key);
                wide(Tone::Plain, format!("left out, as the connected supply does it: {step}"))
            }
            other => sentence(other, names).and_then(|(tone, words)| wide(tone, words)),
        },
        Happening::Noted(text) => wide(Tone::Plain, format!("note by {}: {text}", item.by)),
        Happening::Attached { name, .. } => wide(Tone::Plain, format!("attached: {name}")),
        Happening::Probed { point, value } => wide(Tone::Plain, probed(point.as_deref(), *value)),
        Happening::Resumed => wide(Tone::Caution, format!("taken up again by {}", item.by)),
        // They have a section of their own.
        Happening::Sampled { .. } | Happening::Signed(_) => None,
    }
}

/// The row of a reading, with its time.
pub(super) fn timed(subject: &ReportSubject<'_>, judged: &Judged<'_>) -> Vec<Cell> {
    let time = Cell::toned(Tone::Faint, judged.at.format("%H:%M:%S").to_string());
    reading(time, judged, subject.run.is_amended(judged.line))
}

fn reading(time: Cell, judged: &Judged<'_>, is_amended: bool) -> Vec<Cell> {
    let decision = judged.decision;
    let tone = match judged.verdict {
        Verdict::Outside(_) => Tone::Bad,
        Verdict::Undecided => Tone::Caution,
        Verdict::Inside | Verdict::NotJudged => Tone::Strong,
    };
    let stated = judged.stated();
    let given = (stated != judged.text).then(|| format!("as given: {}", judged.text));
    let drawing =
        gauge(judged.bounds, &judged.judged(), judged.verdict, decision.uncertainty.as_ref());
    let window = judged.bounds.describe(Some(judged.unit));
    let sure = sure(decision, judged.bounds);
    vec![
        time,
        Cell::of(judged.what)
            .and(Tone::Faint, judged.key.as_str())
            .maybe(Tone::Faint, judged.basis.map(|basis| format!("basis: {basis}")))
            .maybe(Tone::Faint, decision.meter.as_ref().map(|meter| format!("meter: {meter}"))),
        Cell::toned(Tone::Strong, stated)
            .maybe(Tone::Faint, judged.coverage())
            .maybe(Tone::Faint, given)
            .and(Tone::Faint, origin_words(judged.attempt, judged.origin)),
        Cell::of(window).drawn(drawing),
        Cell::toned(tone, judged.verdict.words())
            .maybe(Tone::Faint, sure)
            .and(Tone::Faint, judged.rule())
            .maybe(Tone::Caution, is_amended.then(|| "AMENDED, see below".to_owned())),
    ]
}

fn origin_words(attempt: u32, origin: crate::record::Origin) -> String {
    match remarks(attempt, origin).trim_start_matches(", ") {
        "" => origin.word().to_owned(),
        words if words.contains(origin.word()) => words.to_owned(),
        words => format!("{words}, {}", origin.word()),
    }
}

fn figures(subject: &ReportSubject<'_>, key: &Key, traces: &[Trace]) -> Vec<Block> {
    let figure = |trace: &Trace| {
        let bounds = watched(subject, key, &trace.point);
        let drawing = plot(trace, bounds)?;
        let window =
            bounds.map(|bounds| format!("; window {}", bounds.describe(Some(&trace.unit))));
        let (step, window) = (step_name(subject, key), window.unwrap_or_default());
        let caption = format!("{step}: {}{window}", drawing.words);
        Some(Block::Figure { drawing, caption })
    };
    traces.iter().filter_map(figure).collect()
}

/// A step as the procedure's text has it, with its key behind; the key alone where there is no such text, or one with values to be
/// filled in.
fn step_name(subject: &ReportSubject<'_>, key: &Key) -> String {
    let step = subject.procedure.step(key.owner());
    let about = step.map(Step::about).filter(|about| !about.contains('{'));
    about.map_or_else(|| key.to_string(), |about| format!("{about} ({key})"))
}

/// What the samples of a point were judged against.
fn watched<'a>(subject: &ReportSubject<'a>, key: &Key, point: &str) -> Option<&'a Bounds> {
    subject.run.facts().find_map(|fact| match fact {
        Fact::Watched { key: watched, point: at, bounds, .. } if watched == key && at == point => {
            bounds.as_deref()
        }
        _ => None,
    })
}
