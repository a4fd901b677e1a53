//! What, where, when, by whom, by which method, and with which instruments (ISO/IEC 17025:2017 7.8.2.1).

use std::collections::BTreeSet;

use crate::procedure::{BenchFile, split_tolerance};
use crate::record::{Approval, CourseItem, Fact, Happening};
use crate::report::decided::is_worth_stating;
use crate::report::document::{Block, Cell, Row, Table};
use crate::report::judged::{coverage_words, rule_words};
use crate::report::{ReportSubject, Tone};

/// A line to write on.
const BLANK: &str = "______________________________";

pub(super) fn blocks(subject: &ReportSubject<'_>) -> Vec<Block> {
    let mut issued = vec![field("report", subject.id())];
    issued.extend(issue(subject));
    let mut item = item(subject);
    item.extend(equipment_file(subject));
    vec![heading(), Block::Fields(issued), Block::Fields(item), Block::Fields(method(subject))]
}

/// The same in one list, without the report's name, which stands below every page, and without the hashes of files.
pub(super) fn in_short(subject: &ReportSubject<'_>) -> Vec<Block> {
    let mut fields = issue(subject);
    fields.extend(item(subject));
    fields.push(procedure(subject));
    vec![heading(), Block::Fields(fields)]
}

fn heading() -> Block {
    Block::Heading("What, when and by whom".to_owned())
}

fn field(name: &str, text: impl Into<String>) -> (String, String) {
    (name.to_owned(), text.into())
}

fn stated(text: Option<&String>) -> String {
    text.filter(|text| !text.trim().is_empty()).map_or_else(|| BLANK.to_owned(), Clone::clone)
}

fn issue(subject: &ReportSubject<'_>) -> Vec<(String, String)> {
    let issuer = subject.issuer;
    let last = subject.run.at_bench().last().map_or(subject.run.opened_at, |item| item.at);
    let people: BTreeSet<&str> = subject.run.at_bench().map(|item| item.by.as_str()).collect();
    let people: Vec<_> = people.into_iter().filter(|name| !name.is_empty()).collect();
    let mut fields = vec![
        field("workshop, place", stated(issuer.shop.as_ref())),
        field("customer", stated(issuer.customer.as_ref())),
        field("received", BLANK),
        field("done from", subject.run.opened_at.format("%Y-%m-%d %H:%M:%S %:z").to_string()),
        field("until", last.format("%Y-%m-%d %H:%M:%S %:z").to_string()),
        field("done by", format!("{}{}", people.join(", "), unsigned(subject))),
    ];
    fields.extend(supervision(subject));
    fields.push(field("issued on, authorised by", BLANK));
    fields
}

/// What stands behind the names of those at the bench: their signature is the one under the record.
fn unsigned(subject: &ReportSubject<'_>) -> String {
    match subject.run.is_signed_off() {
        true => String::new(),
        false if subject.run.opening.signers.is_some() => " (the record is not signed)".to_owned(),
        false => typed(subject),
    }
}

/// What stands behind names that nobody signed with.
fn typed(subject: &ReportSubject<'_>) -> String {
    let words = subject.run.opening.names().remark();
    words.map(|words| format!(" (names {words})")).unwrap_or_default()
}

/// Who was named as present where somebody may not do something alone.
fn supervision(subject: &ReportSubject<'_>) -> Option<(String, String)> {
    let concluded = subject.run.at_bench().filter_map(CourseItem::fact);
    let supervisors = concluded.filter_map(|fact| match fact {
        Fact::Supervised { by, .. } => Some(by.as_str()),
        _ => None,
    });
    let names: BTreeSet<&str> = supervisors.collect();
    let names: Vec<_> = names.into_iter().collect();
    let words = || format!("{}{}", names.join(", "), typed(subject));
    (!names.is_empty()).then(|| field("supervised by", words()))
}

fn item(subject: &ReportSubject<'_>) -> Vec<(String, String)> {
    let opening = &subject.run.opening;
    let Some(equipment) = subject.equipment else {
        let name = opening.equipment_name.clone();
        return vec![field("equipment, serial", stated(name.as_ref()))];
    };
    let mut fields = vec![
        field("equipment", equipment.equipment.as_str()),
        field("serial", equipment.serial.as_str()),
    ];
    if let Some(remarks) = &equipment.remarks {
        fields.push(field("its state", remarks.as_str()));
    }
    fields
}

/// The file that the equipment's facts were taken from.
fn equipment_file(subject: &ReportSubject<'_>) -> Option<(String, String)> {
    let file = subject.run.opening.equipment.as_ref().filter(|_| subject.equipment.is_some())?;
    Some(field("equipment file", format!("{}, SHA-256 {}", file.name, file.sha256)))
}

fn procedure(subject: &ReportSubject<'_>) -> (String, String) {
    let procedure = subject.procedure;
    field("procedure", format!("{}, revision {}", *procedure.procedure, *procedure.revision))
}

fn method(subject: &ReportSubject<'_>) -> Vec<(String, String)> {
    let (opening, procedure) = (&subject.run.opening, subject.procedure);
    let approved = procedure.approved_by.as_ref();
    let rule = procedure.rule().map_or_else(|error| error.to_string(), rule_words);
    let mut fields = vec![
        self::procedure(subject),
        field("approved by", stated(approved.map(|approved| &approved.value))),
        field(
            "procedure file",
            format!("{}, SHA-256 {}", opening.procedure.name, opening.procedure.sha256),
        ),
        field("decision rule", format!("{rule}; limits count as inside")),
        field("sampling", "none: one piece of equipment, measured itself"),
    ];
    if let Some(file) = &opening.people {
        let approved = opening.approval.as_ref().and_then(Approval::approved);
        let approved = approved.filter(|approved| opening.staff_files().are(approved));
        let approved = approved.map(|approved| {
            format!(", approved by {} (name typed, not signed) on {}", approved.by, approved.when())
        });
        let approved = approved.unwrap_or_default();
        let words = format!("{}, SHA-256 {}{approved}", file.name, file.sha256);
        fields.push(field("people file", words));
    }
    fields
}

/// The instruments of the bench, and when their calibration is due.
pub(super) fn instruments(subject: &ReportSubject<'_>) -> Vec<Block> {
    let mut blocks = vec![Block::Heading("Instruments".to_owned())];
    let Some(bench) = subject.bench else {
        let none = "No bench file was given: the instruments and their accuracy are not on record, and no uncertainty is \
                    stated.";
        blocks.push(Block::Text(Tone::Caution, none.to_owned()));
        return blocks;
    };
    blocks.push(Block::Text(Tone::Plain, format!("Bench: {}", *bench.bench)));
    blocks.push(Block::Table(table(bench)));
    blocks
}

fn table(bench: &BenchFile) -> Table {
    let mut table = Table::new(&[("instrument", 0.5), ("serial", 0.25), ("calibration due", 0.25)]);
    for (_, instrument) in bench.instruments.iter() {
        let due = instrument.calibration_due.as_ref();
        let due = due.map_or_else(|| "not on record".to_owned(), |due| due.value.to_string());
        table.rows.push(Row::Cells(vec![
            Cell::of(instrument.what.as_str()),
            Cell::of(instrument.serial.as_str()),
            Cell::of(due),
        ]));
    }
    table
}

/// The facts of the equipment and what was worked out of them.
pub(super) fn facts(subject: &ReportSubject<'_>) -> Vec<Block> {
    let mut table = Table::new(&[("fact", 0.55), ("value", 0.45)]);
    let mut toleranced = BTreeSet::new();
    for item in &subject.run.items {
        let Happening::Fact(fact) = &item.what else { continue };
        let (name, value) = match fact.as_ref() {
            Fact::Given { name, text, .. } => {
                if split_tolerance(text).1.is_some() {
                    toleranced.insert(name.as_str());
                }
                let asked = subject.procedure.asks.get(name).map(|ask| ask.ask.as_str());
                (format!("{} ({name})", asked.unwrap_or("given")), text.clone())
            }
            Fact::WorkedOut { name, value, uncertainty } => {
                let exact =
                    subject.procedure.taken_as_exact(name, |fact| toleranced.contains(fact));
                let stated = uncertainty
                    .filter(|uncertainty| exact.is_empty() || is_worth_stating(value, uncertainty));
                let doubted =
                    stated.and_then(|uncertainty| value.with_doubt(&uncertainty.expanded, None));
                let cover =
                    stated.map(|uncertainty| format!(" ({})", coverage_words(&uncertainty)));
                let shown = doubted.unwrap_or_else(|| value.engineering(4, None));
                let named = exact.into_iter().collect::<Vec<_>>().join(", ");
                let exact =
                    if named.is_empty() { named } else { format!("; taken as exact: {named}") };
                let shown = format!("{shown}{}{exact}", cover.unwrap_or_default());
                (format!("worked out: {name}"), shown)
            }
            _ => continue,
        };
        table.rows.push(Row::Cells(vec![Cell::of(name), Cell::of(value)]));
    }
    if table.rows.is_empty() {
        return Vec::new();
    }
    vec![
        Block::Heading("Facts about the equipment that the limits come from".to_owned()),
        Block::Table(table),
    ]
}
