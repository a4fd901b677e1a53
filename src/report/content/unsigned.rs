//! Whose part of a signed record its own author never signed: one person's "performed" does not speak for another.

use crate::record::{CourseItem, Happening, Meaning, Run};
use crate::report::document::Block;
use crate::report::{ReportSubject, Tone};

/// Says who worked at the bench and signed for none of it, neither under the record nor at a hand-over.
pub(super) fn blocks(subject: &ReportSubject<'_>) -> Vec<Block> {
    if subject.run.opening.signers.is_none() {
        return Vec::new();
    }
    parts(subject.run).into_iter().map(|words| Block::Text(Tone::Caution, words)).collect()
}

fn parts(run: &Run) -> Vec<String> {
    let items: Vec<&CourseItem> = run.at_bench().filter(|item| !item.by.is_empty()).collect();
    let stretches = items.chunk_by(|one, other| one.by == other.by).filter_map(|stretch| {
        let (first, last) = (stretch.first()?, stretch.last()?);
        let is_theirs =
            |item: &&CourseItem| item.line >= last.line && signs_for_work(item, &last.by);
        if run.items.iter().any(|item| is_theirs(&item)) {
            return None;
        }
        let by = &last.by;
        Some(match (first.line, last.line) {
            (first, last) if first == last => format!("Line {first} by {by}: not signed by {by}."),
            (first, last) => format!("Lines {first} to {last} by {by}: not signed by {by}."),
        })
    });
    stretches.collect()
}

/// Tells whether somebody signs here for what was done at the bench.
fn signs_for_work(item: &CourseItem, name: &str) -> bool {
    let Happening::Signed(signature) = &item.what else { return false };
    let is_for_work = matches!(signature.meaning, Meaning::Performed | Meaning::HandedOver);
    is_for_work && signature.name == name
}
