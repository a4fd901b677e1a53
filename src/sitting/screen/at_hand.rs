//! What has to be there before a run begins, on one screen.

use super::plan_words::duration;
use crate::diagnostic::Style;
use crate::record::{Fact, Run};
use crate::report::{Sheet, Tone, fact_line};
use crate::runner::{AtHand, MeterNeed, PeopleDuty, PeopleNeed, SourceUse};

/// Shows what is done and what that takes. Which set it is stands above each question.
pub(in crate::sitting) fn before(run: &Run, at_hand: &AtHand, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    sheet.gap();
    sheet.rule("BEFORE YOU START");
    sheet.line(Tone::Strong, &run.opening.title);
    rows(&mut sheet, at_hand);
    let count = run.facts().filter(|fact| is_value(fact)).count();
    if count > 0 {
        sheet.field("values", &format!("{count} in use: type `values` to see them"));
    }
    sheet.finish()
}

/// Shows the facts and what was worked out from them.
pub(in crate::sitting) fn values(run: &Run, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    for fact in run.facts().filter(|fact| is_value(fact)) {
        fact_line(&mut sheet, "", fact, run.opening.names());
    }
    sheet.finish()
}

/// Whether it is a fact about the equipment, or what was worked out from some.
pub(super) fn is_value(fact: &Fact) -> bool {
    matches!(fact, Fact::Given { .. } | Fact::WorkedOut { .. })
}

/// The rows of what is needed: how long, who, with what.
pub(super) fn rows(sheet: &mut Sheet, at_hand: &AtHand) {
    sheet.field("time", &time(at_hand));
    if !at_hand.sources.is_empty() {
        sheet.field("sources", &joined(&at_hand.sources, source));
    }
    if !at_hand.people.is_empty() {
        sheet.field("people", &joined(&at_hand.people, person));
    }
    if !at_hand.meters.is_empty() {
        sheet.field("meters", &joined(&at_hand.meters, meter));
    }
    sheet.field("known", &at_hand.known_source);
    if !at_hand.temporary.is_empty() {
        sheet.field("temporary", &at_hand.temporary.join("; "));
    }
}

fn joined<T>(all: &[T], words: impl Fn(&T) -> String) -> String {
    all.iter().map(words).collect::<Vec<_>>().join("; ")
}

fn time(at_hand: &AtHand) -> String {
    format!(
        "{} of waiting and watching at least, and what your hands take",
        duration(at_hand.least_ms)
    )
}

fn source(used: &SourceUse) -> String {
    let ceiling = used.ceiling.as_ref().map(|ceiling| format!(", up to {ceiling}"));
    format!("{}{}", used.source.words(), ceiling.unwrap_or_default())
}

fn person(need: &PeopleNeed) -> String {
    let duty = match need.duty {
        PeopleDuty::StaysInReach => "stays in reach",
        PeopleDuty::Releases => "releases",
        PeopleDuty::Witnesses => "is called to see it",
        PeopleDuty::Verifies => "reads again or agrees",
    };
    match need.times {
        1 => format!("{} {duty}", need.role),
        times => format!("{} {duty}, {times} times", need.role),
    }
}

fn meter(need: &MeterNeed) -> String {
    let functions = need.functions.join(", ");
    match &need.instrument {
        Some(name) => format!("{name} ({functions})"),
        None => format!("any that reads {functions}: its accuracy is not known here"),
    }
}
