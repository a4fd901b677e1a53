//! What came of an answer: the value, the verdict, and where in the window it lies.

use super::at_hand::is_value;
use crate::diagnostic::{Style, cut};
use crate::quantity::Reading;
use crate::record::{Entry, Event, Fact, Key, Names, Origin};
use crate::report::{Sheet, Tone, fact_line, plus_minus, probed, unloaded};
use crate::window::{Verdict, bar};

/// The widest bar.
const BAR_MAX: usize = 40;

/// Shows what an entry concluded, as far as the next question does not show it anyway.
pub(in crate::sitting) fn result(entry: &Entry, names: Names, style: Style) -> String {
    told(entry, entry.facts.iter(), names, style)
}

/// The same of the first entry for a person, who sees the facts when asked for: there are dozens, and the first question matters more.
pub(in crate::sitting) fn result_at_start(entry: &Entry, names: Names, style: Style) -> String {
    told(entry, entry.facts.iter().filter(|fact| !is_value(fact)), names, style)
}

fn told<'a>(
    entry: &Entry,
    facts: impl Iterator<Item = &'a Fact>,
    names: Names,
    style: Style,
) -> String {
    let mut sheet = Sheet::new(style);
    if let Event::Probed { point, value, .. } = &entry.event {
        sheet.indented(Tone::Strong, "  ", &probed(point.as_deref(), *value));
    }
    for fact in facts {
        match fact {
            Fact::Judged { key, .. } if is_hidden(entry, key) => {}
            Fact::Judged { .. } => judged(&mut sheet, fact),
            Fact::Seen { good, .. } => {
                let (tone, words) =
                    if *good { (Tone::Good, "good") } else { (Tone::Bad, "NOT ACCEPTABLE") };
                sheet.indented(tone, "  ", words);
            }
            Fact::Refused { reason, .. } => {
                sheet.indented(Tone::Caution, "  not taken: ", &cut(&reason.to_string(), 400));
                if matches!(entry.event, Event::HandedOver { .. }) {
                    sheet.indented(Tone::Caution, "  ", &still_there(&entry.by));
                }
            }
            // The next screen's heading shows these.
            Fact::StageOpened { .. }
            | Fact::Energy { .. }
            | Fact::Stopped { .. }
            | Fact::Closed { .. } => {}
            // It was told before it was written down.
            Fact::NotConfirmedOff { .. } => {}
            // The person has just said so.
            Fact::Done { .. }
            | Fact::NoticeAnswered { .. }
            | Fact::Cleared { .. }
            | Fact::Written { .. } => {}
            Fact::Waited { .. } | Fact::Again { .. } | Fact::Repaired { .. } => {}
            // It is said right before the next question, or, where nobody at the bench can do anything about it, in the report.
            Fact::NotApproved(_) => {}
            other => fact_line(&mut sheet, "", other, names),
        }
    }
    sheet.finish()
}

/// Who is at the bench after a hand-over that came to nothing.
pub(in crate::sitting) fn still_there(name: &str) -> String {
    format!("{name} is still at the bench.")
}

/// Tells whether a reading waits for that of a second person, who must not know it.
fn is_hidden(entry: &Entry, reading: &Key) -> bool {
    entry.facts.iter().any(|fact| matches!(fact, Fact::VerificationDue { key } if key == reading))
}

fn judged(sheet: &mut Sheet, fact: &Fact) {
    let Fact::Judged {
        key,
        what,
        text,
        reading,
        bounds,
        verdict,
        unit,
        attempt,
        origin,
        decision,
        ..
    } = fact
    else {
        return;
    };
    // Nobody was asked, so no question says what the value is.
    if *origin == Origin::WorkedOut {
        sheet.indented(Tone::Plain, "  ", what);
    }
    let tone = match verdict {
        Verdict::Outside(_) => Tone::Bad,
        Verdict::Undecided => Tone::Caution,
        Verdict::Inside | Verdict::NotJudged => Tone::Good,
    };
    // A proof of dead is one of its own, however many there were before.
    let is_again = *attempt > 1 && !key.is_proof();
    let again = if is_again { format!(" (attempt {attempt})") } else { String::new() };
    let value = match reading {
        // What was computed has digits that nobody measured.
        Reading::Number(value) if *origin != Origin::WorkedOut => {
            value.engineering_exact(Some(unit))
        }
        _ => text.clone(),
    };
    let value = match &decision.corrected {
        Some(corrected) => format!("{value}, {}", unloaded(corrected, unit)),
        None => value,
    };
    let doubt = decision
        .uncertainty
        .map(|uncertainty| plus_minus(&decision.judged(reading), &uncertainty, unit))
        .unwrap_or_default();
    sheet.indented(tone, "  ", &format!("{value}{doubt}   {}{again}", verdict.words()));
    let width = sheet.width().saturating_sub(4).min(BAR_MAX);
    let bar = bar(bounds, &decision.judged(reading), width, sheet.style().ascii);
    if !bar.trim().is_empty() {
        sheet.drawn(tone, &format!("  {bar}"));
    }
}
