//! A text in which letters that run from right to left stand beside figures or Latin letters.

use super::Check;
use crate::diagnostic::{Finding, runs_from_the_right};
use crate::procedure::At;

pub(super) const CHECK: Check =
    Check::new("TXT010", "turned-text", include_str!("turned_text.md")).of_texts(finding);

fn finding(text: &At<String>) -> Option<Finding> {
    let is_turned = text.chars().any(runs_from_the_right);
    let is_mixed = is_turned && text.chars().any(|c| c.is_ascii_alphanumeric());
    is_mixed.then(|| {
        CHECK
            .warning("letters that run from right to left stand beside others: what is shown may stand in another order")
            .at(text.span)
            .help("put figures and units into the window or a text of their own")
    })
}
