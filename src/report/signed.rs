//! A signature in words, and that it does not hold where it doesn't.

use super::entry_line::{entry, time};
use super::{Sheet, Tone};
use crate::record::{CourseItem, Signature};
use crate::signature::fingerprint;

/// A signature; where it does not hold, that is all that may be said of it.
pub(super) fn signed(
    sheet: &mut Sheet,
    item: &CourseItem,
    signature: &Signature,
    flaw: Option<&str>,
) {
    let (tone, words) = match flaw {
        None => (Tone::Plain, format!("signed, {}", signed_words(signature))),
        Some(flaw) => (Tone::Bad, flawed_words(signature, flaw)),
    };
    entry(sheet, &time(item), tone, &words);
}

/// A signature that does not hold, in words.
pub(super) fn flawed_words(signature: &Signature, flaw: &str) -> String {
    format!("SIGNATURE DOES NOT HOLD, {}: {flaw}", signed_words(signature))
}

/// A signature in words: as what, by whom, with which key.
pub(super) fn signed_words(signature: &Signature) -> String {
    let Signature { principal, name, meaning, armored, .. } = signature;
    let key = fingerprint(armored).unwrap_or_else(|| "no key that can be read".to_owned());
    format!("{}: {name} ({principal}), {key}", meaning.words())
}
