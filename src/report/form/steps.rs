//! The steps of a stage as rows to be filled in.

use super::{Blank, TICK, notice};
use crate::procedure::act::{Act, MeterUse};
use crate::procedure::{KnownValues, Procedure, Stage, Step, without_bleeder};
use crate::quantity::Unit;
use crate::record::{Source, span_words};
use crate::report::Tone;
use crate::report::document::{Block, Cell, Row, Table};
use crate::window::Bounds;

const COLUMNS: [(&str, f64); 4] =
    [("step", 0.42), ("window", 0.24), ("value seen", 0.2), ("initials, time", 0.14)];

/// A line to write on.
const LINE: &str = "________________";

/// What one row asks for.
struct FormRow {
    what: String,
    window: String,
    space: String,
    meter: Option<String>,
}

impl FormRow {
    fn tick(what: impl Into<String>) -> Self {
        Self { what: what.into(), window: String::new(), space: TICK.to_owned(), meter: None }
    }

    fn written(what: impl Into<String>) -> Self {
        Self { space: LINE.to_owned(), ..Self::tick(what) }
    }
}

pub(super) fn blocks(blank: &Blank<'_>, stage: &Stage, known: &KnownValues) -> Vec<Block> {
    let mut blocks = Vec::new();
    let mut table = Table::new(&COLUMNS);
    if let Some(hold) = &stage.hold {
        let released = hold_words(&hold.released_by, &hold.ask);
        table.rows.push(row("hold", "", None, &FormRow::written(released)));
    }
    for (n, step) in stage.steps.iter().enumerate() {
        if let Some(hazard) = &step.hazard {
            close(&mut table, &mut blocks);
            blocks.push(notice(hazard, known));
        }
        let is_agreed_on = stage.is_agreed_on(n);
        table.rows.extend(rows(blank, stage.source.value, step, is_agreed_on, known));
    }
    close(&mut table, &mut blocks);
    blocks
}

fn close(table: &mut Table, blocks: &mut Vec<Block>) {
    let done = std::mem::replace(table, Table::new(&COLUMNS));
    if !done.rows.is_empty() {
        blocks.push(Block::Table(done));
    }
}

fn rows(
    blank: &Blank<'_>,
    source: Source,
    step: &Step,
    is_agreed_on: bool,
    known: &KnownValues,
) -> Vec<Row> {
    let mut asked = asked(blank, source, step, known);
    if is_agreed_on {
        let both = "BEFORE IT IS DONE: say to each other what is done, where, and how it has to end up. Agreed by (both \
                    names)";
        asked.insert(0, FormRow::written(both));
    }
    let first = asked.first().filter(|_| step.is_read_twice());
    asked.extend(first.map(|first| second(step, first)));
    let named = step.for_each.iter().flatten().map(|name| name.value.as_str());
    let parts: Vec<&str> = named
        .flat_map(|name| match known.parts(name) {
            Some(parts) => parts.iter().map(String::as_str).collect(),
            None => vec![name],
        })
        .collect();
    let parts = if step.for_each.is_some() { parts } else { vec![""] };
    let why = step.why.as_ref().map(|why| known.fill(why));
    let mut rows = Vec::new();
    for (n, part) in parts.into_iter().enumerate() {
        for (m, asked) in asked.iter().enumerate() {
            let why = why.clone().filter(|_| n + m == 0);
            rows.push(row(&step.step, part, why, asked));
        }
    }
    rows
}

/// The row of a second reading: on a sheet of its own, so that the first is not in sight.
fn second(step: &Step, first: &FormRow) -> FormRow {
    let within = step.agree_within.as_ref().map(|expression| expression.text.value.as_str());
    FormRow {
        what: format!(
            "SECOND READING by another person, who has not seen the first (fold it away): {}",
            first.what
        ),
        window: format!("{}; at most {} from the first", first.window, within.unwrap_or_default()),
        space: first.space.clone(),
        meter: first.meter.clone(),
    }
}

fn row(name: &str, part: &str, why: Option<String>, asked: &FormRow) -> Row {
    let what = match part {
        "" => Cell::of(asked.what.as_str()),
        part => Cell::toned(Tone::Strong, part).and(Tone::Plain, asked.what.as_str()),
    };
    let what = what
        .and(Tone::Faint, name)
        .maybe(Tone::Faint, why)
        .maybe(Tone::Faint, asked.meter.as_ref().map(|meter| format!("meter: {meter}")));
    Row::Cells(vec![
        what,
        Cell::of(asked.window.as_str()),
        Cell::of(asked.space.as_str()),
        Cell::of("__________"),
    ])
}

fn hold_words(role: &str, ask: &str) -> String {
    format!("HOLD, released by {role} with name and time: {ask}")
}

/// What a step asks for, with its windows worked out where nothing has to be read for that.
fn asked(blank: &Blank<'_>, source: Source, step: &Step, known: &KnownValues) -> Vec<FormRow> {
    let acts = step.kind().map(|kind| kind.acts(&|name: &str| known.value(name)));
    match acts {
        Some(Ok(acts)) => {
            let asked = acts.into_iter().flat_map(|keyed| match keyed.act {
                Act::ProveDead => proof(blank, step, known),
                act => vec![of_act(blank, source, act, known)],
            });
            asked.collect()
        }
        _ => as_written(blank, step, known),
    }
}

/// A row for each reading of a proof: the known source, every point, the known source again.
fn proof(blank: &Blank<'_>, step: &Step, known: &KnownValues) -> Vec<FormRow> {
    let procedure = blank.procedure;
    let source = |words: &str| {
        let ends: Vec<_> =
            procedure.known_source.between.iter().map(|end| end.text.value.as_str()).collect();
        FormRow {
            window: ends.join(" to "),
            space: "____________ V".to_owned(),
            ..FormRow::written(format!("PROVE DEAD: {words}, {}", *procedure.known_source.what))
        }
    };
    let points = procedure.charge_points.iter().map(|(name, point)| FormRow {
        window: format!("below {}", super::limit(point, known)),
        space: "____________ V".to_owned(),
        ..FormRow::written(format!(
            "PROVE DEAD: {} ({})",
            **name,
            point.with_cover(known.fill(&point.at))
        ))
    });
    let stands = procedure.is_proved_before(step).then(|| stands(procedure, known));
    let first = stands.into_iter().chain(wait(blank, known));
    let steps = first.chain([source("the meter")]);
    steps.chain(points).chain([source("the meter again")]).collect()
}

/// Where a proof that was made before spares this one.
fn stands(procedure: &Procedure, known: &KnownValues) -> FormRow {
    let lasts = span_words(procedure.proof_lasts_ms(&|name: &str| known.value(name)));
    let words = format!(
        "Proved dead less than {lasts} ago by yourself, nothing switched on and no insulation test since, plug and supply leads in your \
         sight all the time? Then write when, and leave the next lines of this step out"
    );
    FormRow { space: "at ____________".to_owned(), ..FormRow::written(words) }
}

/// The wait for the stored charge before a proof; nothing where there is none to wait for.
fn wait(blank: &Blank<'_>, known: &KnownValues) -> Option<FormRow> {
    let wait = blank.procedure.safe_wait(&|name: &str| known.value(name));
    if wait.ms == 0 && wait.kept.is_empty() {
        return None;
    }
    // Rounded up: a wait is never shown shorter than it is.
    let tenths = wait.ms.div_ceil(100);
    let least = if wait.unknown.is_empty() { "" } else { "at least " };
    let mut words = format!(
        "EVERYTHING OFF. Then wait {least}{}.{} s for the stored charge, hands off",
        tenths / 10,
        tenths % 10
    );
    if !wait.unknown.is_empty() {
        words += &format!("; how fast it leaves is not known for: {}", wait.unknown.join(", "));
    }
    if let Some(kept) = without_bleeder(&wait.kept) {
        words += &format!("; {kept}");
    }
    Some(FormRow::tick(words))
}

fn of_act(blank: &Blank<'_>, source: Source, act: Act, known: &KnownValues) -> FormRow {
    match act {
        Act::Do { what } => FormRow::tick(known.fill(&what)),
        Act::Look { what, choices } => {
            let of = |good: bool| {
                let words = choices
                    .iter()
                    .filter(|choice| choice.good == good)
                    .map(|choice| choice.say.as_str());
                words.collect::<Vec<_>>().join(" / ")
            };
            let window = format!("good: {}. STOP on: {}", of(true), of(false));
            FormRow { window, ..FormRow::written(known.fill(&what)) }
        }
        Act::Read { what, unit, bounds, meter, .. } => {
            reading(blank, &known.fill(&what), &unit, &bounds, meter.as_ref())
        }
        Act::Watch(watching) => {
            let count = watching.waits() + 1;
            let every = watching.every_ms / 1000;
            let what =
                format!("{}: {count} readings, one every {every} s", known.fill(&watching.what));
            reading(blank, &what, &watching.unit, &watching.bounds, watching.meter.as_ref())
        }
        Act::WorkOut { what, unit, bounds, .. } => {
            reading(blank, &known.fill(&what), &unit, &bounds, None)
        }
        Act::Steady { what, .. } => FormRow::written(format!("How steady it was: {what}")),
        Act::Energise => FormRow::tick(format!(
            "Tools and loose leads out, nobody touches it. Then: {}",
            source.words()
        )),
        Act::SourceOff { what } => FormRow::tick(format!("SOURCE OFF. {}", known.fill(&what))),
        Act::ProveDead => FormRow::written("PROVE DEAD"),
        Act::Hold { role, ask } => FormRow::written(hold_words(&role, &ask)),
        Act::Witness { role, ask, in_reach: true } => FormRow::written(format!(
            "IN REACH, {role}; or \"I work alone\", where that is allowed: {ask}"
        )),
        Act::Witness { role, ask, in_reach: false } => {
            FormRow::written(format!("WITNESS, {role} is called and may waive it: {ask}"))
        }
        Act::Wait { ms, what } => {
            FormRow::tick(format!("Wait {} s. {}", ms / 1000, known.fill(&what)))
        }
        Act::Note { ask } => FormRow::written(ask),
        Act::Attach { ask } => FormRow::written(format!("Photo or file: {ask}")),
    }
}

fn reading(
    blank: &Blank<'_>,
    what: &str,
    unit: &Unit,
    bounds: &Bounds,
    meter: Option<&MeterUse>,
) -> FormRow {
    let meter = meter.and_then(|meter| blank.bench?.meter(&meter.function));
    FormRow {
        what: what.to_owned(),
        window: bounds.describe_on_paper(Some(unit)),
        space: format!("____________ {}", unit.symbol()),
        meter: meter.map(|meter| meter.words()),
    }
}

/// What a step asks for when its window depends on what is still to be read: the formula stands in its place.
fn as_written(blank: &Blank<'_>, step: &Step, known: &KnownValues) -> Vec<FormRow> {
    let value = |what: &str, unit: &Unit, window: String, function: Option<&str>| FormRow {
        what: known.fill(what),
        window,
        space: format!("____________ {}", unit.symbol()),
        meter: function.and_then(|name| blank.bench?.meter(name)).map(|meter| meter.words()),
    };
    let mut asked = Vec::new();
    if let Some(read) = &step.read {
        let window = read.window.as_ref().map(|window| window.as_written()).unwrap_or_default();
        let function = read.function.as_ref().map(|name| name.as_str());
        asked.push(value(&read.what, &read.unit, window, function));
    }
    if let Some(watch) = &step.watch {
        let window = watch.window.as_ref().map(|window| window.as_written()).unwrap_or_default();
        let what = format!("{}: every {} for {}", *watch.what, *watch.every.text, *watch.time.text);
        asked.push(value(
            &what,
            &watch.unit,
            window,
            watch.function.as_ref().map(|name| name.as_str()),
        ));
    }
    if let Some(work_out) = &step.work_out {
        let window = work_out.window.as_ref().map(|window| window.as_written()).unwrap_or_default();
        let what = format!("{} = {}", *work_out.what, *work_out.value.text);
        asked.push(value(&what, &work_out.unit, window, None));
    }
    if let Some(compare) = &step.compare {
        let what =
            format!("{}: {} against {}", *compare.what, *compare.this.text, *compare.with.text);
        asked.push(value(&what, &compare.unit, format!("within {}", *compare.within.text), None));
    }
    if let Some(set) = &step.set {
        let to = set.to.as_ref().map(|to| format!("to {}", *to.text)).unwrap_or_default();
        asked.push(FormRow { window: to, ..FormRow::written(known.fill(&set.what)) });
    }
    if let Some(wait) = &step.wait {
        asked.push(FormRow::tick(format!("Wait {}. {}", *wait.time.text, known.fill(&wait.what))));
    }
    asked
}
