//! What the register says of the records behind an answer: above it, where nobody can miss it.

use super::asked::{Unregistered, counted, run_of};
use crate::archive::{Archive, Damaged, Vouched};
use crate::report::{Sheet, Tone};
use crate::shell::fault::Fault;
use crate::shell::terminal;

/// The most names in a line; the JSON has all of them.
const NAMES: usize = 20;

/// Says above an answer which records are damaged, which are gone, which are not as registered, and whether they count in it.
pub(super) fn words(sheet: &mut Sheet, vouched: &Vouched, damaged: &[Damaged], counts: Counts) {
    if !damaged.is_empty() {
        let names = names(damaged.iter().map(|damaged| run_of(&damaged.file)));
        let records = counted(damaged.len(), "record");
        sheet.line(Tone::Bad, &format!("DAMAGED: {records}, in no answer, see below: {names}"));
    }
    if let Some(fault) = &vouched.fault {
        sheet.line(Tone::Bad, fault);
        sheet.line(
            Tone::Bad,
            &format!("So the register vouches for none of the records: {}", counts.words()),
        );
    }
    let gone = vouched.missing.len();
    if gone > 0 {
        let names = names(vouched.missing.iter().map(String::as_str));
        let words = format!(
            "MISSING: {} in the register, gone from the folder and from this answer: {names}",
            counted(gone, "record")
        );
        sheet.line(Tone::Bad, &words);
    }
    let unvouched = vouched.not_as_registered.len();
    if unvouched > 0 {
        let names =
            names(vouched.not_as_registered.iter().map(|unvouched| run_of(&unvouched.file)));
        let words = format!(
            "NOT AS REGISTERED: {}, {}: {names}",
            counted(unvouched, "record"),
            counts.words()
        );
        sheet.line(Tone::Bad, &words);
    }
    if vouched.taken_over > 0 {
        let words = format!(
            "{} taken over as found: nothing vouches for them from before",
            counted(vouched.taken_over, "record")
        );
        sheet.line(Tone::Caution, &words);
    }
}

/// Says the same above the error where there is no answer: what is left out or gone may be why.
pub(super) fn told_above<T>(
    answer: Result<T, Fault>,
    archive: &Archive,
    counts: Counts,
) -> Result<T, Fault> {
    if answer.is_err() {
        let (vouched, damaged) = (archive.vouched(), archive.damaged());
        let mut sheet = Sheet::new(terminal::err_style());
        words(
            &mut sheet,
            &vouched.map_err(Fault::failed)?,
            &damaged.map_err(Fault::failed)?,
            counts,
        );
        terminal::err(&sheet.finish());
    }
    answer
}

/// What becomes of the records that the register does not vouch for.
#[derive(Clone, Copy, Debug)]
pub(super) enum Counts {
    /// They are listed and marked.
    Listed,
    /// They count, as was asked.
    TakenIn,
    /// They do not count.
    LeftOut,
}

impl Counts {
    fn words(self) -> &'static str {
        match self {
            Self::Listed => "marked below",
            Self::TakenIn => "taken in, as asked",
            Self::LeftOut => "left out, --with-unregistered takes them in",
        }
    }
}

impl From<Unregistered> for Counts {
    fn from(unregistered: Unregistered) -> Self {
        if unregistered.with_unregistered { Self::TakenIn } else { Self::LeftOut }
    }
}

fn names<'a>(all: impl ExactSizeIterator<Item = &'a str>) -> String {
    let more = all.len().saturating_sub(NAMES);
    let shown = all.take(NAMES).collect::<Vec<_>>().join(", ");
    if more > 0 { format!("{shown} and {more} more") } else { shown }
}
