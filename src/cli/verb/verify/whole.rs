//! A record in every respect: hashes, end, conclusions, attached files.

use std::path::Path;

use super::compared;
use super::found::{Found, RecordState, dates};
use super::hashes::altered;
use crate::audit::replay::{Difference, replay};
use crate::audit::signatures::SignatureWalk;
use crate::journal::register::Registered;
use crate::journal::{JournalError, read_file};
use crate::record::{Entry, Happening, Run};
use crate::shell::fault::Fault;
use crate::signature::Shop;

/// Verifies a record and that what it concludes follows from what happened.
pub(super) fn verify(
    path: &Path,
    registered: Option<&Registered>,
    shop: Option<&Shop>,
) -> Result<Found, Fault> {
    let mut found = Found::at(path);
    let mut walk = SignatureWalk::by(shop);
    let checked = compared(path, registered, |line| walk.see(line))?;
    found.wrong = checked.wrong.map(|wrong| wrong.to_string());
    let lines = checked.chain.map_or(0, |chain| chain.lines);
    if lines == 0 {
        found.state = RecordState::default().words(registered);
        return Ok(found);
    }
    let contents = match read_file::<Entry>(path) {
        Ok(contents) => contents,
        Err(error @ JournalError::Damaged { .. }) => {
            found.wrong = Some(error.to_string());
            return Ok(found);
        }
        Err(other) => return Err(Fault::failed(other)),
    };
    found.entries = contents.entries.len();
    found.head = contents.head;
    found.is_torn = contents.torn.is_some();
    (found.names, found.signatures) = (walk.names(), walk.count());
    found.wrong = found.wrong.or_else(|| walk.wrong());
    found.flawed = walk.flawed();
    match replay(&contents.entries) {
        Ok(replayed) => found.differences = replayed.differences,
        Err(wrong) => found.wrong = found.wrong.or(Some(wrong)),
    }
    if let Some(run) = Run::fold(&contents.entries) {
        let state = RecordState {
            is_void: run.voided.is_some(),
            outcome: run.closing.map(|closing| closing.outcome),
            is_torn: found.is_torn,
            mode: Some(run.opening.mode),
        };
        found.state = state.words(registered);
        found.findings = dates(&run.dated_back, run.order());
        found
            .findings
            .extend(found.differences.iter().filter(|difference| difference.is_odd).map(unsure));
        found.wrong = found.wrong.or_else(|| altered_file(path, &run));
    }
    Ok(found)
}

/// What is said where a record of this version is otherwise sure than this version.
fn unsure(odd: &Difference) -> String {
    let Difference { line, words, .. } = odd;
    format!("line {line}: {words}: it was altered, or another build wrote it")
}

fn altered_file(path: &Path, run: &Run) -> Option<String> {
    let files = run.items.iter().filter_map(|item| match &item.what {
        Happening::Attached { sha256, name, .. } => Some((name.as_str(), sha256.as_str())),
        _ => None,
    });
    altered(path, &run.opening.run, files)
}
