//! A file of another kind than is expected, or of none.

use super::Check;
use crate::diagnostic::{Finding, nearest};
use crate::procedure::FileKind;
use crate::procedure::file_kind::keys;

pub(super) const CHECK: Check = Check::new("YML013", "wrong-kind", include_str!("wrong_kind.md"));

/// The finding where a text is of another kind than is expected in its place.
pub(in crate::procedure) fn instead_of(expected: FileKind, text: &str) -> Option<Finding> {
    let (kind, span) = FileKind::told_by(text)?;
    (kind != expected).then(|| {
        let message = format!("this is {}, not {}", kind.words(), expected.words());
        CHECK.error(message).at(span).help(kind.place())
    })
}

/// The finding where none of the keys of a text tells its kind.
pub(in crate::procedure) fn untold(text: &str) -> Finding {
    let keys = match keys(text) {
        Ok(keys) => keys,
        Err(finding) => return finding,
    };
    let found = CHECK.error("no key of this file tells which kind of file it is");
    let known = || FileKind::ALL.into_iter().map(FileKind::key);
    for (key, span) in &keys {
        if let Some(meant) = nearest(key, known()) {
            return found.at(*span).help(format!("did you mean `{meant}`?"));
        }
    }
    let kinds = FileKind::ALL.map(|kind| format!("`{}` ({})", kind.key(), kind.words()));
    let first = keys.first().map(|(_, span)| *span).unwrap_or_default();
    found.at(first).help(format!("it needs one of these keys: {}", kinds.join(", ")))
}
