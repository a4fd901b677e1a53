//! What a second person verified, in words.

use super::Tone;
use crate::quantity::{Reading, Unit};
use crate::record::Fact;

/// Both readings, who took them, and how far apart they are, as a sentence.
pub(super) fn read_twice(fact: &Fact) -> Option<(Tone, String)> {
    let Fact::Verified { what, taken_by, by, first, second, unit, agreed, .. } = fact else {
        return None;
    };
    let (tone, verdict) = verdict(*agreed);
    let (first, second) = (value(first, unit), value(second, unit));
    let apart = apart(fact).unwrap_or_default();
    let line =
        format!("read by two, {verdict}: {what}: {taken_by} {first}, {by} {second}, {apart}");
    Some((tone, line))
}

/// Who agreed on what before it was switched, as a sentence.
pub(super) fn agreed(fact: &Fact) -> Option<(Tone, String)> {
    let Fact::Agreed { what, person, by, .. } = fact else { return None };
    let line = format!("agreed before it was switched, by {person} and {by}: {what}");
    Some((Tone::Plain, line))
}

/// Whether two readings agree, in a word.
pub(super) fn verdict(agreed: bool) -> (Tone, &'static str) {
    if agreed { (Tone::Good, "they agree") } else { (Tone::Bad, "THEY DISAGREE") }
}

/// The difference of two readings against the most it may be.
pub(super) fn apart(fact: &Fact) -> Option<String> {
    let Fact::Verified { difference, within, unit, .. } = fact else { return None };
    Some(match (difference, within) {
        (Some(difference), Some(within)) => {
            // A percentage has digits that nobody wrote.
            let (difference, within) =
                (difference.engineering_exact(Some(unit)), within.engineering(4, Some(unit)));
            format!("{difference} apart, at most {within}")
        }
        _ => "one or both are no number".to_owned(),
    })
}

/// A reading in its step's unit.
pub(super) fn value(reading: &Reading, unit: &Unit) -> String {
    match reading {
        Reading::Number(value) => value.engineering_exact(Some(unit)),
        Reading::OverRange => "over range".to_owned(),
        Reading::NotANumber => "no number".to_owned(),
    }
}
