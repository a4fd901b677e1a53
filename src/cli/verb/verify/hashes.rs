//! A record by its hashes: quick, as no entry is looked into but those that name files.

use std::path::Path;

use super::compared;
use super::found::{Found, RecordState, dates};
use crate::audit::signatures::SignatureWalk;
use crate::journal::register::Registered;
use crate::journal::{JournalError, check_attachment};
use crate::record::{Entry, Event, Moment, TimeOrder};
use crate::shell::fault::Fault;
use crate::signature::Shop;
use crate::sitting::registering;

/// Verifies the hashes, the chain and the attached files of a record, and its end against the register.
pub(super) fn verify(
    path: &Path,
    registered: Option<&Registered>,
    shop: Option<&Shop>,
) -> Result<Found, Fault> {
    let mut attached = Vec::new();
    let mut is_void = false;
    let mut walk = SignatureWalk::by(shop);
    let (mut order, mut dated_back) = (TimeOrder::of_record(), Vec::new());
    let checked = compared(path, registered, |line| {
        let event = event_name(line.entry);
        match event {
            Some(b"attached") => attached.extend(serde_json::from_slice::<Entry>(line.entry).ok()),
            Some(b"voided") => is_void = true,
            _ => {}
        }
        let begins = event.is_some_and(|event| BEGINNINGS.contains(&event));
        let back = moment(line.entry).map(|at| order.pass_moment(at, begins));
        dated_back.extend(back.into_iter().flatten());
        walk.see(line);
    });
    let checked = checked?;
    let mut found = Found::at(path);
    found.wrong = checked.wrong.map(|wrong| wrong.to_string());
    let Some(chain) = checked.chain else { return Ok(found) };
    let state = RecordState {
        is_void,
        outcome: registered.and_then(|registered| registered.outcome),
        is_torn: chain.torn.is_some(),
        mode: registered.and_then(|registered| registered.mode),
    };
    found.state = state.words(registered);
    found.findings = dates(&dated_back, &order);
    (found.entries, found.head) = (chain.lines, chain.head);
    (found.names, found.signatures) = (walk.names(), walk.count());
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

/// The names of the events with which a sitting's own time begins.
const BEGINNINGS: [&[u8]; 4] = [b"started", b"resumed", b"amended", b"voided"];

/// The moment of an entry, without reading the rest of it: it is the first member.
fn moment(entry: &[u8]) -> Option<Moment> {
    let rest = entry.strip_prefix(br#"{"at":"#)?;
    let end = rest.iter().position(|byte| *byte == b'}')?;
    serde_json::from_slice(rest.get(..=end)?).ok()
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
    use super::{event_name, moment};

    #[test]
    fn the_moment_of_an_entry_is_its_first_member() {
        let entry = br#"{"at":{"wall":"2026-03-02T09:15:00+01:00","elapsed_ms":7},"by":""}"#;
        let at = moment(entry).map(|at| (at.wall.to_rfc3339(), at.elapsed_ms));
        assert_eq!(at, Some(("2026-03-02T09:15:00+01:00".to_owned(), 7)));
        assert_eq!(moment(br#"{"by":"{\"at\":{\"wall\":\"2026-03-02T09:15:00+01:00\""}"#), None);
    }

    #[test]
    fn only_the_member_names_the_event() {
        let attached = br#"{"at":{},"by":"Kim","event":{"attached":{"key":null}},"facts":[]}"#;
        assert_eq!(event_name(attached), Some(&b"attached"[..]));
        let by = br#"{"at":{},"by":"\"event\":{\"attached\":","event":{"voided":{}},"facts":[]}"#;
        assert_eq!(event_name(by), Some(&b"voided"[..]));
        assert_eq!(event_name(br#"{"at":{},"by":"Kim","event":"ticked","facts":[]}"#), None);
    }
}
