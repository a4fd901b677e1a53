//! A record by its hashes: quick, as no entry is looked into but those that name files.

use std::path::Path;

use super::compared;
use super::found::{Found, State};
use crate::cli::fault::Fault;
use crate::cli::registering;
use crate::cli::signing::Walk;
use crate::journal::register::Registered;
use crate::journal::{JournalError, check_attachment};
use crate::record::{Entry, Event};
use crate::signature::Shop;

/// Verifies the hashes, the chain and the attached files of a record, and its end against the register.
pub(super) fn verify(
    path: &Path,
    registered: Option<&Registered>,
    shop: Option<&Shop>,
) -> Result<Found, Fault> {
    let mut attached = Vec::new();
    let mut is_void = false;
    let mut walk = Walk::by(shop);
    let checked = compared(path, registered, |line| {
        match event_name(line.entry) {
            Some(b"attached") => attached.extend(serde_json::from_slice::<Entry>(line.entry).ok()),
            Some(b"voided") => is_void = true,
            _ => {}
        }
        walk.see(line);
    });
    let checked = checked?;
    let mut found = Found::at(path);
    found.wrong = checked.wrong.map(|wrong| wrong.to_string());
    let Some(chain) = checked.chain else { return Ok(found) };
    let state = State {
        is_void,
        outcome: registered.and_then(|own| own.outcome),
        is_torn: chain.torn.is_some(),
        mode: registered.and_then(|own| own.mode),
    };
    found.state = state.words(registered);
    (found.entries, found.head) = (chain.lines, chain.head);
    found.signatures = walk.count();
    found.is_torn = chain.torn.is_some();
    found.wrong = found.wrong.or_else(|| walk.wrong()).or_else(|| altered_file(path, &attached));
    Ok(found)
}

/// The name of the event in an entry, without reading the entry. Inside a text a quotation mark is escaped, so the
/// first `"event":` is the member of that name.
fn event_name(entry: &[u8]) -> Option<&[u8]> {
    const MEMBER: &[u8] = br#""event":{""#;
    let at = entry.windows(MEMBER.len()).position(|bytes| bytes == MEMBER)?;
    entry.get(at + MEMBER.len()..)?.split(|byte| *byte == b'"').next()
}

fn altered_file(path: &Path, attached: &[Entry]) -> Option<String> {
    let files = attached.iter().filter_map(|entry| match &entry.event {
        Event::Attached { name, sha256, .. } => Some((name.as_str(), sha256.as_str())),
        _ => None,
    });
    altered(path, &registering::run(path), files)
}

/// The first attached file that is missing or altered.
pub(super) fn altered<'a>(
    path: &Path,
    run: &str,
    files: impl IntoIterator<Item = (&'a str, &'a str)>,
) -> Option<String> {
    let folder = path.parent()?;
    files.into_iter().find_map(|(name, sha256)| {
        let checked: Result<_, JournalError> = check_attachment(folder, run, sha256);
        checked.err().map(|error| format!("attached file {name}: {error}"))
    })
}

#[cfg(test)]
mod tests {
    use super::event_name;

    #[test]
    fn only_the_member_names_the_event() {
        let attached = br#"{"at":{},"by":"Kim","event":{"attached":{"key":null}},"facts":[]}"#;
        assert_eq!(event_name(attached), Some(&b"attached"[..]));
        let by = br#"{"at":{},"by":"\"event\":{\"attached\":","event":{"voided":{}},"facts":[]}"#;
        assert_eq!(event_name(by), Some(&b"voided"[..]));
        assert_eq!(event_name(br#"{"at":{},"by":"Kim","event":"ticked","facts":[]}"#), None);
    }
}
