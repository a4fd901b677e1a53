//! What a report says, section by section. How it is laid out is decided elsewhere.

mod comparison;
mod customer;
mod events;
mod identity;
mod parts;
mod stages;
mod standing;
mod summary;
mod technician;
mod unsigned;
mod verdict;
mod verified;

pub use standing::{lacks, marks};

use super::document::{Block, Document};
use super::{ReportSubject, Tone, code};

/// The cautions of every report and form.
pub(super) const CAUTIONS: [&str; 3] = [
    "Work on mains equipment can kill. Follow your local codes.",
    "Work within your licence and competence.",
    "Have someone in reach who knows how to cut the power.",
];

/// Whom a report is made for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Audience {
    /// The workshop and its auditor: everything.
    #[default]
    Shop,
    /// The customer: two pages to hand over.
    Customer,
    /// The technician: where it stopped, and what was read again.
    Technician,
}

/// Makes the report of a run.
#[must_use]
pub fn report(subject: &ReportSubject<'_>, audience: Audience) -> Document {
    let mut blocks = match audience {
        Audience::Shop => whole(subject),
        Audience::Customer => customer::blocks(subject),
        Audience::Technician => technician::blocks(subject),
    };
    blocks.extend(proof(subject, audience));
    Document {
        title: standing::title(subject),
        id: subject.id(),
        marks: marks(subject),
        program: format!("wattstep {}", subject.run.opening.program),
        moment: Some(subject.run.items.last().map_or(subject.run.opened_at, |item| item.at)),
        blocks,
    }
}

/// Everything that the record tells.
fn whole(subject: &ReportSubject<'_>) -> Vec<Block> {
    let mut blocks = summary::blocks(subject);
    blocks.extend(identity::blocks(subject));
    blocks.extend(events::signatures(subject));
    blocks.extend(unsigned::blocks(subject));
    blocks.extend(comparison::blocks(subject));
    blocks.extend(verified::blocks(subject));
    blocks.extend(events::work(subject));
    blocks.extend(events::afterwards(subject));
    blocks.extend(identity::instruments(subject));
    blocks.extend(stages::blocks(subject));
    blocks.extend(identity::facts(subject));
    blocks.extend(events::files(subject));
    blocks
}

/// How to tell that the record behind the report is the one it was made from.
fn proof(subject: &ReportSubject<'_>, audience: Audience) -> Vec<Block> {
    let (seal, opening) = (subject.seal, &subject.run.opening);
    let checked = match &seal.wrong {
        Some(wrong) => format!("DOES NOT VERIFY: {wrong}"),
        None => "verified when this report was made: every line, every conclusion, every file"
            .to_owned(),
    };
    let mut fields = vec![
        ("record".to_owned(), format!("{}.jsonl", opening.run)),
        ("last hash".to_owned(), seal.head.clone()),
        ("checked".to_owned(), checked),
    ];
    if audience != Audience::Customer {
        fields.insert(1, ("lines".to_owned(), seal.lines.to_string()));
        fields.push(("program".to_owned(), format!("wattstep {}", opening.program)));
    }
    fields.extend(seal.caveats.iter().map(|words| ("register".to_owned(), words.clone())));
    fields.extend(subject.run.time_remarks().map(|words| ("time".to_owned(), words)));
    if seal.torn && seal.wrong.is_none() {
        fields.push(("end".to_owned(), "the last write was cut off".to_owned()));
    }
    let words = match opening.names().remark() {
        Some(words) => {
            format!("The record can be checked without this program. Names in it are {words}.")
        }
        None => "The record and its signatures can be checked without this program, with sha256sum and ssh-keygen."
            .to_owned(),
    };
    let mut blocks = vec![
        Block::Heading("The record behind this report".to_owned()),
        Block::Fields(fields),
        Block::Text(Tone::Faint, words),
    ];
    let text = format!("wattstep {} lines {} head {}", opening.run, seal.lines, seal.head);
    if let Some(drawing) = code(&text) {
        let caption = "the run, its number of lines and its last hash".to_owned();
        blocks.push(Block::Figure { drawing, caption });
    }
    blocks
}
