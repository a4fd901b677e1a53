//! The form of a procedure, to be filled in by hand where no program is at the bench.

mod steps;

use super::content::CAUTIONS;
use super::document::{Block, Cell, Row, Table};
use super::{Document, Tone};
use crate::procedure::{
    BenchFile, ChargePoint, Equipment, Hazard, KnownValues, NONE, Procedure, Stage, identity,
    no_resistor,
};

/// A line to write on.
const LINE: &str = "____________________";
/// A box to tick.
const TICK: &str = "□";

/// What a form is made of.
#[derive(Clone, Copy, Debug)]
pub struct Blank<'a> {
    /// The procedure.
    pub procedure: &'a Procedure,
    /// SHA-256 of the procedure's file.
    pub sha256: &'a str,
    /// The equipment it is for, so that windows can be worked out.
    pub equipment: Option<&'a Equipment>,
    /// The bench, so that meters can be named.
    pub bench: Option<&'a BenchFile>,
    /// The version of the program.
    pub program: &'a str,
}

/// Makes the form.
#[must_use]
pub fn form(blank: &Blank<'_>) -> Document {
    let known = KnownValues::of(blank.procedure, blank.equipment);
    let mut blocks = first_page(blank);
    blocks.extend(facts(blank, &known));
    blocks.extend(charge_points(blank.procedure, &known));
    let mut was_mains = false;
    for stage in &blank.procedure.stages {
        let is_mains = stage.source.value.is_mains();
        if is_mains && !was_mains {
            blocks.push(cautions());
        }
        was_mains = is_mains;
        blocks.extend(of_stage(blank, stage, &known));
    }
    let procedure = blank.procedure;
    let hash = blank.sha256.get(..8).unwrap_or(blank.sha256);
    Document {
        title: format!("Form: {}", *procedure.title),
        id: format!("{}, revision {}, file {hash}", *procedure.procedure, *procedure.revision),
        marks: vec!["FORM TO BE FILLED IN BY HAND: not a record of this program".to_owned()],
        program: format!("wattstep {}", blank.program),
        moment: None,
        blocks,
    }
}

fn cautions() -> Block {
    Block::Notice { word: "CAUTION".to_owned(), lines: CAUTIONS.map(str::to_owned).to_vec() }
}

fn first_page(blank: &Blank<'_>) -> Vec<Block> {
    let field = |name: &str, text: &str| (name.to_owned(), text.to_owned());
    let procedure = blank.procedure;
    let mut fields = match blank.equipment {
        Some(equipment) => {
            vec![field("equipment", &equipment.equipment), field("serial", &equipment.serial)]
        }
        None => vec![field("equipment", LINE), field("serial", LINE)],
    };
    fields.extend([
        field("workshop, place", LINE),
        field("done by", LINE),
        field("date", LINE),
        field("run by role", &procedure.run_by),
        field("approved by", procedure.approved_by.as_ref().map_or(LINE, |by| by.as_str())),
        field("procedure file", &format!("SHA-256 {}", blank.sha256)),
    ]);
    // A known role that does next to nothing alone, in a shop with a people file or without.
    if identity(&procedure.run_by) == "apprentice" {
        fields.push(field("supervised by", LINE));
    }
    let mut blocks = vec![cautions(), Block::Fields(fields)];
    if let Some(scope) = &procedure.scope {
        blocks.push(Block::Text(Tone::Plain, scope.value.clone()));
    }
    let rule = "Write the value you see, with its unit; a tick is not a reading. A reading outside its window stops the work: \
                source off, wait, prove dead, and only then think. Strike out a mistake so that it stays readable, and put \
                your initials beside it.";
    blocks.push(Block::Text(Tone::Strong, rule.to_owned()));
    blocks
}

fn facts(blank: &Blank<'_>, known: &KnownValues) -> Vec<Block> {
    let mut table = Table::new(&[("fact", 0.6), ("value", 0.4)]);
    for (name, ask) in blank.procedure.asks.iter() {
        let value = known.value(name).and_then(|values| values.first().copied());
        let value = value.filter(|_| !ask.rule_set);
        let parts = known.parts(name).map(|parts| parts.join(", "));
        let shown = value.map(|value| match ask.none_ok && value == no_resistor() {
            true => NONE.to_owned(),
            false => value.engineering_exact(Some(&ask.unit())),
        });
        let shown = shown.or(parts).unwrap_or_else(|| format!("{LINE} {}", ask.unit().symbol()));
        let what = Cell::of(ask.ask.as_str()).and(Tone::Faint, name.as_str());
        table.rows.push(Row::Cells(vec![what, Cell::of(shown)]));
    }
    for (name, expression) in blank.procedure.work_out.iter() {
        let value = known.value(name).and_then(|values| values.first().copied());
        let shown = value.map_or_else(|| LINE.to_owned(), |quantity| quantity.engineering(4, None));
        let what = Cell::of(name.as_str()).and(Tone::Faint, format!("= {}", *expression.text));
        table.rows.push(Row::Cells(vec![what, Cell::of(shown)]));
    }
    if table.rows.is_empty() {
        return Vec::new();
    }
    vec![Block::Heading("Facts about the equipment".to_owned()), Block::Table(table)]
}

/// How dead is proved: the meter on the known source, on every place where charge can stay, on the known source again.
fn charge_points(procedure: &Procedure, known: &KnownValues) -> Vec<Block> {
    let points: Vec<_> = procedure
        .charge_points
        .iter()
        .map(|(_, point)| {
            let at = point.with_cover(known.fill(&point.at));
            format!("{at}: below {}", limit(point, known))
        })
        .collect();
    let ends: Vec<_> =
        procedure.known_source.between.iter().map(|end| end.text.value.as_str()).collect();
    let source = format!(
        "Known source before and after: {}, {}.",
        *procedure.known_source.what,
        ends.join(" to ")
    );
    vec![
        Block::Heading("Where charge can stay, and the proof of dead".to_owned()),
        Block::Text(Tone::Plain, source),
        Block::List(points),
    ]
}

/// The highest voltage that counts as dead at a point.
fn limit(point: &ChargePoint, known: &KnownValues) -> String {
    let value = point.below.evaluate(&|name: &str| known.value(name));
    value.map_or_else(|_| point.below.text.value.clone(), |quantity| quantity.engineering(3, None))
}

fn of_stage(blank: &Blank<'_>, stage: &Stage, known: &KnownValues) -> Vec<Block> {
    let mut known = known.clone();
    let mut source = format!("Source: {}", stage.source.words());
    if let Some(ceiling) = &stage.ceiling {
        for (name, expression) in [("voltage", &ceiling.voltage), ("current", &ceiling.current)] {
            let value = expression.evaluate(&|name: &str| known.value(name)).ok();
            let shown = value.map_or_else(
                || expression.text.value.clone(),
                |quantity| quantity.engineering(3, None),
            );
            source.push_str(&format!(", {name} up to {shown}"));
            if let Some(value) = value {
                known = known.with(&format!("ceiling.{name}"), value);
            }
        }
    }
    let mut blocks =
        vec![Block::Heading(format!("Stage: {}", *stage.title)), Block::Text(Tone::Strong, source)];
    blocks.extend(stage.hazard.as_ref().map(|hazard| notice(hazard, &known)));
    blocks.extend(steps::blocks(blank, stage, &known));
    blocks
}

fn notice(hazard: &Hazard, known: &KnownValues) -> Block {
    let mut lines: Vec<_> =
        [&hazard.risk, &hazard.result, &hazard.avoid].map(|text| known.fill(text)).to_vec();
    if let Some(confirm) = &hazard.confirm {
        lines.push(format!("{TICK} read. {}: {LINE}", known.fill(&confirm.ask)));
    }
    Block::Notice { word: hazard.signal.word().to_owned(), lines }
}
