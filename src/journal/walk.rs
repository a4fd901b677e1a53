//! Walks the lines of a journal, keeps the chain, tells a torn tail from damage.
//!
//! A torn tail is what follows the last newline. Nothing cuts it off: the next line written
//! declares it, so that it stays in the file as a line that is broken and accounted for. A write
//! can be cut off twice in a row; then the broken bytes span several lines, and the line that
//! follows declares them all.

use super::chain::{GENESIS, Running};
use super::damage::DamageKind;
use super::frame::{LinePlace, Taken, Torn, is_sound};
use super::limits::LINE_MAX;

const LEAD: &str = r#"{"prev":""#;

/// How much of a cut-off declaration must be there to recognise it: eight digits of a hash. With
/// less, a damaged last line before a torn tail could pass for torn itself.
const TELLING: usize = LEAD.len() + 8;

/// How far a reader has come.
pub(super) struct JournalWalk {
    lines: usize,
    head: String,
    /// The broken bytes since the last whole line, as long as they may still turn out to be
    /// declared.
    broken: Option<Running>,
}

impl Default for JournalWalk {
    fn default() -> Self {
        Self { lines: 0, head: GENESIS.to_owned(), broken: None }
    }
}

impl JournalWalk {
    /// Takes a line that ended in a newline; gives nothing for one that is torn. What follows
    /// decides that: even a line that lacked nothing but its newline was.
    pub(super) fn line<'a>(
        &mut self,
        line: &'a [u8],
        following: &[u8],
    ) -> Result<Option<Taken<'a>>, DamageKind> {
        if let Some(broken) = self.torn(line, following) {
            self.broken = Some(broken);
            return Ok(None);
        }
        let before = self.broken.as_ref().map(Torn::from);
        let place = LinePlace { prev: &self.head, n: self.lines + 1, torn: before.as_ref() };
        let taken = place.take(line)?;
        self.head.clone_from(&taken.hash);
        self.lines += 1;
        self.broken = None;
        Ok(Some(taken))
    }

    /// Takes what follows the last newline, often nothing.
    pub(super) fn tail(&self, tail: &[u8]) -> Result<Option<Torn>, DamageKind> {
        if tail.len() > LINE_MAX {
            return Err(DamageKind::TooLong);
        }
        Ok((!tail.is_empty()).then(|| Torn::from(&self.broken_with(tail))))
    }

    /// The hash of the last whole line.
    pub(super) fn head(&self) -> &str {
        &self.head
    }

    /// How many whole lines there were.
    pub(super) fn lines(&self) -> usize {
        self.lines
    }

    /// The broken bytes up to and with this line, if what follows declares them.
    fn torn(&self, line: &[u8], following: &[u8]) -> Option<Running> {
        // A line in its place is followed by one that names another `prev`, so the bytes are hashed
        // for the few that may be torn alone.
        let lead = LEAD.bytes().chain(self.head.bytes());
        if following.len() < TELLING || !lead.zip(following).all(|(due, found)| due == *found) {
            return None;
        }
        let broken = self.broken_with(line);
        let torn = Torn::from(&broken);
        let place = LinePlace { prev: &self.head, n: self.lines + 1, torn: Some(&torn) };
        let declaration = place.opening().into_bytes();
        let declared_in_part = declaration.starts_with(following);
        let is_torn = following.starts_with(&declaration) || (declared_in_part && !is_sound(line));
        is_torn.then_some(broken)
    }

    fn broken_with(&self, line: &[u8]) -> Running {
        let mut broken = self.broken.clone().unwrap_or_default();
        if self.broken.is_some() {
            broken.add(b"\n");
        }
        broken.add(line);
        broken
    }
}
