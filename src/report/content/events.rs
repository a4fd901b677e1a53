//! What was repaired, what went off the procedure, and the files of the run.

use crate::record::{Bond, CourseItem, Fact, Happening, Names};
use crate::report::afterwards::words;
use crate::report::document::{Block, Cell, Row, Table};
use crate::report::sentence::sentence;
use crate::report::signed::{flawed_words, signed_words};
use crate::report::{ReportSubject, Tone};

/// The work: what was written down about parts and repairs; and all that went another way than the procedure has it.
pub(super) fn work(subject: &ReportSubject<'_>) -> Vec<Block> {
    let off = rows(subject, |fact| told(fact) == ToldUnder::Deviation);
    let mut blocks = work_done(subject);
    blocks.push(Block::Heading("Stops, concessions and deviations from the procedure".to_owned()));
    blocks.push(listed(off, "None recorded."));
    blocks
}

/// What was written down about what came in, parts and repairs.
pub(super) fn work_done(subject: &ReportSubject<'_>) -> Vec<Block> {
    let done = rows(subject, |fact| told(fact) == ToldUnder::Work);
    let none = "Nothing was written down about repairs or parts.";
    vec![Block::Heading("Found, repaired and replaced".to_owned()), listed(done, none)]
}

/// The same without who wrote it down: the report names who did the work.
pub(super) fn work_in_short(subject: &ReportSubject<'_>) -> Vec<Block> {
    let mut blocks = work_done(subject);
    for block in &mut blocks {
        if let Block::Table(table) = block {
            table.rows.iter_mut().for_each(Row::drop_small_print);
        }
    }
    blocks
}

/// Where a fact is told besides the course of the run.
#[derive(Clone, Copy, PartialEq, Eq)]
enum ToldUnder {
    /// What was found, repaired and replaced.
    Work,
    /// What went another way than the procedure has it.
    Deviation,
    /// Nowhere else.
    Course,
}

fn told(fact: &Fact) -> ToldUnder {
    match fact {
        Fact::Repaired { .. } | Fact::Written { .. } => ToldUnder::Work,
        // Where nothing was ever approved, nothing deviates from it.
        Fact::NotApproved(how) if how.approved.is_none() => ToldUnder::Course,
        Fact::NotApproved(_)
        | Fact::Verified { agreed: false, .. }
        | Fact::Stopped { .. }
        | Fact::Conceded { .. }
        | Fact::WorksAlone { .. }
        | Fact::Again { .. }
        | Fact::Stale { .. }
        | Fact::MeterRejected { .. }
        | Fact::StillCharged { .. }
        | Fact::ClockSet { .. }
        | Fact::Expired { .. }
        | Fact::NotConfirmedOff { .. }
        | Fact::ConfirmedOff { .. }
        | Fact::Reentered { .. }
        | Fact::TookOver { .. } => ToldUnder::Deviation,
        Fact::Verified { agreed: true, .. }
        | Fact::Practised(_)
        | Fact::Given { .. }
        | Fact::WorkedOut { .. }
        | Fact::StageOpened { .. }
        | Fact::StageHeld { .. }
        | Fact::NoticeAnswered { .. }
        | Fact::Judged { .. }
        | Fact::Watched { .. }
        | Fact::Present { .. }
        | Fact::CalibrationOverdue { .. }
        | Fact::Seen { .. }
        | Fact::Done { .. }
        | Fact::LeftOut(_)
        | Fact::Fitted { .. }
        | Fact::Removed { .. }
        | Fact::Cleared { .. }
        | Fact::Released { .. }
        | Fact::Supervised { .. }
        | Fact::Witnessed { .. }
        | Fact::Waited { .. }
        | Fact::Refused { .. }
        | Fact::Energy { .. }
        | Fact::ProvedDead(_)
        | Fact::ProofStands(_)
        | Fact::WentBack { .. }
        | Fact::Closed { .. }
        | Fact::Amended(_)
        | Fact::Voided(_)
        | Fact::VerificationDue { .. }
        | Fact::VerifierNamed { .. }
        | Fact::Agreed { .. } => ToldUnder::Course,
    }
}

fn listed(rows: Vec<Row>, none: &str) -> Block {
    if rows.is_empty() {
        return Block::Text(Tone::Plain, none.to_owned());
    }
    let mut table = Table::new(&[("when", 0.16), ("what", 0.84)]);
    table.rows = rows;
    Block::Table(table)
}

fn rows(subject: &ReportSubject<'_>, wanted: fn(&Fact) -> bool) -> Vec<Row> {
    let names = subject.run.opening.names();
    let row = |item: &CourseItem| {
        let Happening::Fact(fact) = &item.what else { return None };
        let (tone, words) = sentence(fact, names).filter(|_| wanted(fact))?;
        let when = item.at.format("%Y-%m-%d %H:%M").to_string();
        let by = match fact.as_ref() {
            Fact::Stopped { key: Some(key), .. } | Fact::Conceded { key, .. } => {
                format!("at {key}, {}", item.by)
            }
            _ => item.by.clone(),
        };
        Some(Row::Cells(vec![Cell::of(when), Cell::toned(tone, words).and(Tone::Faint, by)]))
    };
    subject.run.items.iter().filter_map(row).collect()
}

/// Who signed what, when and with which key.
pub(super) fn signatures(subject: &ReportSubject<'_>) -> Vec<Block> {
    if subject.run.opening.signers.is_none() {
        return Vec::new();
    }
    let row = |item: &CourseItem| {
        let Happening::Signed(signature) = &item.what else { return None };
        let when = signature.at.format("%Y-%m-%d %H:%M:%S %:z").to_string();
        let signed = match subject.seal.flaw(item.line, signature) {
            None => Cell::of(signed_words(signature)),
            Some(flaw) => Cell::toned(Tone::Bad, flawed_words(signature, flaw)),
        };
        let words = signed.and(Tone::Faint, signed_for(subject, item.line));
        Some(Row::Cells(vec![Cell::of(when), words]))
    };
    let rows = subject.run.items.iter().filter_map(row).collect();
    let mut blocks = vec![Block::Heading("Signatures".to_owned())];
    blocks.push(listed(rows, "Nothing was signed."));
    if subject.run.is_closed_unsigned() {
        let words = "The record was closed without a signature.";
        blocks.push(Block::Text(Tone::Caution, words.to_owned()));
    }
    blocks
}

/// What a signature is under: its line, and what was concluded there of what people sign for.
fn signed_for(subject: &ReportSubject<'_>, line: usize) -> String {
    let on_line = subject.run.items.iter().filter(|item| item.line == line);
    let said = on_line.filter_map(|item| {
        let Happening::Fact(fact) = &item.what else { return None };
        let key = match fact.bond()?.0 {
            Bond::Released(key)
            | Bond::Conceded(key)
            | Bond::Called { key, .. }
            | Bond::ReadAgain(key)
            | Bond::Agreed(key) => format!(" {key}: "),
            Bond::Supervises | Bond::TookOver { .. } => " ".to_owned(),
            // Nobody signs as a witness.
            Bond::Witnessed(_) => return None,
        };
        sentence(fact, Names::Signed).map(|(_, words)| format!("{key}{words}"))
    });
    format!("line {line}:{}", said.collect::<Vec<_>>().join(";")).trim_end_matches(':').to_owned()
}

/// What was said of the record after the run: corrections beside the lines they are of, and that it is void.
pub(super) fn afterwards(subject: &ReportSubject<'_>) -> Vec<Block> {
    let row = |item: &CourseItem| {
        let Happening::Fact(fact) = &item.what else { return None };
        let (tone, words) = words(item, fact, subject.run.opening.names())?;
        let when = item.at.format("%Y-%m-%d %H:%M").to_string();
        Some(Row::Cells(vec![Cell::of(when), Cell::toned(tone, words)]))
    };
    let rows: Vec<_> = subject.run.items.iter().filter_map(row).collect();
    let heading = Block::Heading("Amended afterwards".to_owned());
    if rows.is_empty() { Vec::new() } else { vec![heading, listed(rows, "")] }
}

/// The attached files: photos are shown, everything else is listed with its hash.
pub(super) fn files(subject: &ReportSubject<'_>) -> Vec<Block> {
    let mut blocks = Vec::new();
    for item in &subject.run.items {
        let Happening::Attached { name, sha256, bytes } = &item.what else { continue };
        let caption = format!("{name}, {bytes} bytes, SHA-256 {sha256}");
        blocks.push(match subject.photos.get(sha256) {
            Some(photo) => Block::Photo { photo: photo.clone(), caption },
            None => Block::List(vec![format!("not shown here: {caption}")]),
        });
    }
    if !blocks.is_empty() {
        blocks.insert(0, Block::Heading("Photos and files".to_owned()));
    }
    blocks
}
