//! One line: what surrounds an entry, and how a line is checked against its place.
//!
//! ```text
//! {"prev":"<64>","n":7,"entry":{...},"sha256":"<64>"}
//! '------- opening ----------' entry '---- seal -----'
//! ```

use serde::de::{DeserializeOwned, IgnoredAny};
use serde::{Deserialize, Serialize};

use super::chain::{GENESIS, Running};
use super::damage::DamageKind;
use super::limits::{FORMAT, LINE_MAX};

const SEAL_LEN: usize = r#","sha256":""}"#.len() + GENESIS.len();

/// Bytes that a write left behind when it was cut off.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Torn {
    /// How many there are.
    pub bytes: u64,
    /// Their SHA-256 in lower-case hexadecimal.
    pub sha256: String,
}

impl From<&Running> for Torn {
    fn from(running: &Running) -> Self {
        Self { bytes: running.bytes(), sha256: running.hex() }
    }
}

/// What a line must say about its place to be the next one.
#[derive(Debug, Clone, Copy)]
pub(super) struct LinePlace<'a> {
    /// The hash of the last whole line.
    pub(super) prev: &'a str,
    /// The line's number, from 1; torn bytes have none.
    pub(super) n: usize,
    /// What lies torn between the last whole line and this one.
    pub(super) torn: Option<&'a Torn>,
}

/// A line that is sound and in its place.
pub(super) struct Taken<'a> {
    /// The bytes of its entry.
    entry: &'a [u8],
    /// The hash of the whole line.
    pub(super) hash: String,
}

impl<'a> Taken<'a> {
    /// The bytes of its entry, not looked into.
    pub(super) fn bytes(&self) -> &'a [u8] {
        self.entry
    }

    /// Its entry.
    pub(super) fn entry<T: DeserializeOwned>(&self) -> Result<T, DamageKind> {
        serde_json::from_slice(self.entry).map_err(|error| DamageKind::Entry(error.to_string()))
    }
}

impl LinePlace<'_> {
    /// The text before the entry. There is one way to write it, so checking it is comparing bytes.
    pub(super) fn opening(&self) -> String {
        let Self { prev, n, torn } = self;
        let mut text = format!(r#"{{"prev":"{prev}","n":{n}"#);
        if *n == 1 {
            text += &format!(r#","format":{FORMAT}"#);
        }
        if let Some(Torn { bytes, sha256 }) = torn {
            text += &format!(r#","torn":{{"bytes":{bytes},"sha256":"{sha256}"}}"#);
        }
        text + r#","entry":"#
    }

    /// Makes the line, without its newline, that carries an entry at this place.
    pub(super) fn line(&self, entry: &[u8]) -> Vec<u8> {
        let opening = self.opening();
        let mut line = Vec::with_capacity(opening.len() + entry.len() + SEAL_LEN);
        line.extend_from_slice(opening.as_bytes());
        line.extend_from_slice(entry);
        let seal = seal(&line);
        line.extend_from_slice(seal.as_bytes());
        line
    }

    /// Takes a line that is sound and belongs here.
    pub(super) fn take<'a>(&self, line: &'a [u8]) -> Result<Taken<'a>, DamageKind> {
        if line.len() > LINE_MAX {
            return Err(DamageKind::TooLong);
        }
        let (text, hash) = unsealed(line).ok_or_else(|| self.why_broken(line))?;
        let entry =
            text.strip_prefix(self.opening().as_bytes()).ok_or_else(|| self.why_misplaced(line))?;
        Ok(Taken { entry, hash })
    }

    /// Finds words for a line whose seal does not hold.
    fn why_broken(&self, line: &[u8]) -> DamageKind {
        if let Some(newer) = self.newer(line) {
            return newer;
        }
        if let Err(error) = std::str::from_utf8(line) {
            return DamageKind::NotText(error.valid_up_to() + 1);
        }
        match serde_json::from_slice::<IgnoredAny>(line) {
            Err(error) => DamageKind::NotJson(error.column()),
            Ok(_) => DamageKind::OwnHash,
        }
    }

    /// Finds words for a line that is sound, but not the one that is due.
    fn why_misplaced(&self, line: &[u8]) -> DamageKind {
        if let Some(newer) = self.newer(line) {
            return newer;
        }
        let Ok(stated) = serde_json::from_slice::<Stated>(line) else {
            return DamageKind::Layout;
        };
        if stated.n != self.n {
            DamageKind::Number { expected: self.n, found: stated.n }
        } else if stated.prev != self.prev {
            DamageKind::Chain
        } else if stated.torn.as_ref() != self.torn {
            DamageKind::Torn
        } else {
            DamageKind::Layout
        }
    }

    /// Only the first line states the format. A later format may seal its lines in another way, so
    /// this is asked before the seal is blamed.
    fn newer(&self, line: &[u8]) -> Option<DamageKind> {
        #[derive(Deserialize)]
        struct Version {
            format: u64,
        }
        let version: Version = serde_json::from_slice(line).ok()?;
        (self.n == 1 && version.format > FORMAT).then_some(DamageKind::Newer(version.format))
    }
}

/// Tells whether a line's own hash fits it: it was written whole and not changed since.
pub(super) fn is_sound(line: &[u8]) -> bool {
    unsealed(line).is_some()
}

/// What a line says about its place.
#[derive(Deserialize)]
struct Stated {
    prev: String,
    n: usize,
    torn: Option<Torn>,
}

/// The end of a line: the hash of the line as it would be without this member.
fn seal(text: &[u8]) -> String {
    let mut running = Running::default();
    running.add(text);
    seal_after(&running)
}

/// The seal behind a text that is hashed already.
fn seal_after(text: &Running) -> String {
    let mut running = text.clone();
    running.add(b"}");
    format!(r#","sha256":"{}"}}"#, running.hex())
}

/// The line up to its seal, if the seal holds, and the hash of the whole line. Both hashes begin
/// alike, so the text goes through once.
fn unsealed(line: &[u8]) -> Option<(&[u8], String)> {
    let (text, end) = line.split_at_checked(line.len().checked_sub(SEAL_LEN)?)?;
    let mut running = Running::default();
    running.add(text);
    if end != seal_after(&running).as_bytes() {
        return None;
    }
    running.add(end);
    Some((text, running.hex()))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;
    use crate::journal::sha256_hex;

    const FIRST: LinePlace<'_> = LinePlace { prev: GENESIS, n: 1, torn: None };

    fn entry(place: LinePlace<'_>, line: &[u8]) -> Result<u32, DamageKind> {
        place.take(line)?.entry()
    }

    fn kind(line: &[u8]) -> DamageKind {
        entry(FIRST, line).unwrap_err()
    }

    #[test]
    fn a_line_is_json_with_its_members_in_order() {
        let torn = Torn { bytes: 3, sha256: sha256_hex(b"abc") };
        let line = LinePlace { prev: GENESIS, n: 1, torn: Some(&torn) }.line(b"42");
        let text = String::from_utf8(line.clone()).unwrap();
        let abc = sha256_hex(b"abc");
        let bare = format!(
            r#"{{"prev":"{GENESIS}","n":1,"format":1,"torn":{{"bytes":3,"sha256":"{abc}"}},"entry":42}}"#
        );
        let hash = sha256_hex(bare.as_bytes());
        assert_eq!(text.replace(&format!(r#","sha256":"{hash}""#), ""), bare);
        assert!(text.ends_with(&format!(r#","sha256":"{hash}"}}"#)));
        assert!(serde_json::from_slice::<serde_json::Value>(&line).is_ok());
    }

    #[test]
    fn gives_back_the_entry_at_its_place_only() {
        let line = FIRST.line(b"42");
        assert_eq!(entry(FIRST, &line), Ok(42));
        let head = sha256_hex(&line);
        let second = LinePlace { prev: &head, n: 2, torn: None };
        assert_eq!(entry(second, &line), Err(DamageKind::Number { expected: 2, found: 1 }));
        let other = LinePlace { prev: &head, ..FIRST };
        assert_eq!(entry(other, &line), Err(DamageKind::Chain));
        let torn = Torn { bytes: 0, sha256: sha256_hex(b"") };
        let after_torn = LinePlace { torn: Some(&torn), ..FIRST };
        assert_eq!(entry(after_torn, &line), Err(DamageKind::Torn));
    }

    #[test]
    fn says_what_is_wrong() {
        assert_eq!(kind(b""), DamageKind::NotJson(0));
        assert_eq!(kind(b"{\"a\":\xff}"), DamageKind::NotText(6));
        assert_eq!(kind(br#"{"a":1"#), DamageKind::NotJson(6));
        assert_eq!(kind(br#"{"a":1}"#), DamageKind::OwnHash);
        assert_eq!(kind(br#"{"format":2,"other":"members"}"#), DamageKind::Newer(2));
        assert_eq!(kind(&vec![b' '; LINE_MAX + 1]), DamageKind::TooLong);
        let second = LinePlace { n: 2, ..FIRST };
        assert_eq!(entry(second, br#"{"format":2}"#), Err(DamageKind::OwnHash));
        assert!(matches!(kind(&FIRST.line(b"\"words\"")), DamageKind::Entry(_)));
    }

    #[test]
    fn a_sound_line_with_other_members_is_refused() {
        let resealed = |text: &str| [text.as_bytes(), seal(text.as_bytes()).as_bytes()].concat();
        let spaced = format!(r#"{{"prev":"{GENESIS}", "n":1,"format":1,"entry":42"#);
        assert_eq!(kind(&resealed(&spaced)), DamageKind::Layout);
        let unversioned = format!(r#"{{"prev":"{GENESIS}","n":1,"entry":42"#);
        assert_eq!(kind(&resealed(&unversioned)), DamageKind::Layout);
        let no_place = r#"{"entry":42"#;
        assert_eq!(kind(&resealed(no_place)), DamageKind::Layout);
        let more = format!(r#"{{"prev":"{GENESIS}","n":1,"format":1,"entry":42,"more":1"#);
        assert!(matches!(kind(&resealed(&more)), DamageKind::Entry(_)));
    }
}
