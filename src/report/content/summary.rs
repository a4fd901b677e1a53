//! The first page: what came of it, why it is no final report if it is none, what was not tested.

use std::collections::BTreeMap;

use super::{CAUTIONS, identity, lacks, parts, unsigned, verdict};
use crate::procedure::step::Step;
use crate::record::{Fact, Key, Run};
use crate::report::document::Block;
use crate::report::{Judged, ReportSubject, Tone, judged};
use crate::window::Verdict;

pub(super) fn blocks(subject: &ReportSubject<'_>) -> Vec<Block> {
    let run = subject.run;
    let mut blocks = vec![verdict::block(run)];
    blocks.extend(not_final(subject));
    blocks.push(Block::Heading("Outcome".to_owned()));
    blocks.push(Block::Text(Tone::Plain, counted(&judged(run))));
    blocks.extend(reservations(subject));
    blocks.extend(parts::blocks(run));
    blocks.push(Block::Text(
        Tone::Plain,
        format!("Energy in the equipment: {}.", run.energy.words()),
    ));
    let scope =
        "The results apply to this piece of equipment at the times stated, and to nothing else.";
    blocks.push(Block::Text(Tone::Strong, scope.to_owned()));
    let lines = CAUTIONS.map(str::to_owned).to_vec();
    blocks.push(Block::Notice { word: "CAUTION".to_owned(), lines });
    blocks.extend(untested(subject));
    blocks
}

/// The first page of a short report: the same verdict and reservations, then what, when and by whom.
pub(super) fn in_short(subject: &ReportSubject<'_>) -> Vec<Block> {
    let mut blocks = vec![verdict::block(subject.run)];
    blocks.extend(not_final(subject));
    blocks.extend(reservations(subject));
    blocks.extend(identity::in_short(subject));
    blocks
}

/// What keeps the report from being final, where anything does.
fn not_final(subject: &ReportSubject<'_>) -> Option<Block> {
    let mode = subject.run.opening.mode;
    let mut why: Vec<String> = mode.mark().map(str::to_owned).into_iter().collect();
    why.extend(
        subject.seal.wrong.iter().map(|wrong| format!("the record does not verify: {wrong}")),
    );
    why.extend(lacks(subject));
    let word = "NOT A FINAL REPORT".to_owned();
    (!why.is_empty()).then_some(Block::Notice { word, lines: why })
}

/// What takes from the worth of the results: it stands in every report.
fn reservations(subject: &ReportSubject<'_>) -> Vec<Block> {
    let run = subject.run;
    let mut blocks: Vec<Block> = disagreed(run).into_iter().collect();
    blocks.extend(amended(run.amendments.len()));
    blocks.extend(run.time_remarks().map(|words| {
        Block::Text(Tone::Caution, format!("{words}. Its times can't all be right."))
    }));
    if run.closing.is_some_and(|closing| !closing.safe) {
        blocks.push(Block::Text(Tone::Bad, "NOT CONFIRMED SAFE when it ended.".to_owned()));
    }
    blocks.extend(unsigned::blocks(subject));
    let caveats = subject.seal.caveats.iter();
    blocks.extend(
        caveats
            .map(|words| Block::Text(Tone::Caution, format!("The register of records: {words}."))),
    );
    blocks
}

/// How many pairs of readings disagree: each of the two may well be inside its window.
fn disagreed(run: &Run) -> Option<Block> {
    let count =
        facts(run).filter(|fact| matches!(fact, Fact::Verified { agreed: false, .. })).count();
    let words = match count {
        0 => return None,
        1 => "Read by two: one pair DISAGREES".to_owned(),
        count => format!("Read by two: {count} pairs DISAGREE"),
    };
    Some(Block::Text(Tone::Bad, format!("{words}, see the stops.")))
}

/// The readings that a second person should have taken as well and did not, or with another result.
fn unverified(subject: &ReportSubject<'_>) -> Vec<String> {
    let run = subject.run;
    let mut due = BTreeMap::new();
    for fact in facts(run) {
        let (key, why) = match fact {
            Fact::VerificationDue { key } => (key, Some("there is no second reading")),
            Fact::Verified { key, agreed, .. } => (key, (!agreed).then_some("two people disagree")),
            _ => continue,
        };
        due.insert(key, why);
    }
    let due = due.into_iter().filter_map(|(key, why)| why.map(|why| (key, why)));
    due.map(|(key, why)| format!("{}: not verified: {why}", about(subject, key))).collect()
}

/// What a key stands for, in the words in which it was read, or those of its step.
fn about<'a>(subject: &ReportSubject<'a>, key: &'a Key) -> &'a str {
    if let Some(read) = judged(subject.run).into_iter().rfind(|judged| judged.key == key) {
        return read.what;
    }
    subject.procedure.step(key.as_str()).map_or(key.as_str(), Step::about)
}

fn facts(run: &Run) -> impl Iterator<Item = &Fact> {
    run.facts()
}

/// That something was corrected later, where nobody who reads the first page alone can miss it.
fn amended(count: usize) -> Option<Block> {
    let words = match count {
        0 => return None,
        1 => "Amended afterwards: once".to_owned(),
        count => format!("Amended afterwards: {count} times"),
    };
    let words = format!("{words}, see \"Amended afterwards\" and the marks at the readings.");
    Some(Block::Text(Tone::Caution, words))
}

fn counted(readings: &[Judged<'_>]) -> String {
    let count =
        |is: fn(Verdict) -> bool| readings.iter().filter(|judged| is(judged.verdict)).count();
    format!(
        "{} readings: {} inside, {} OUTSIDE, {} undecided, {} recorded and not judged. Repeats are counted; each verdict \
         stands beside its window and its decision rule.",
        readings.len(),
        count(Verdict::is_inside),
        count(Verdict::is_outside),
        count(|verdict| verdict == Verdict::Undecided),
        count(|verdict| verdict == Verdict::NotJudged),
    )
}

/// The steps of the procedure whose result does not stand.
pub(super) fn untested(subject: &ReportSubject<'_>) -> Vec<Block> {
    let is_untested = |step: &Step| {
        let is_test = step.has_result() || step.hold.is_some() || step.witness.is_some();
        is_test && subject.run.step(&step.step).is_none()
    };
    let mut points = Vec::new();
    for stage in &subject.procedure.stages {
        let steps: Vec<_> = stage.steps.iter().filter(|step| is_untested(step)).collect();
        if !steps.is_empty() {
            let about = steps.iter().map(|step| format!("{}: {}", *stage.title, step.about()));
            points.extend(about);
        }
    }
    points.extend(unverified(subject));
    let mut blocks = vec![Block::Heading("Not tested".to_owned())];
    if let Some(scope) = &subject.procedure.scope {
        blocks.push(Block::Text(Tone::Plain, format!("What the procedure covers: {}", **scope)));
    }
    if points.is_empty() {
        let all = "Every reading, look and release of the procedure has a result.";
        blocks.push(Block::Text(Tone::Plain, all.to_owned()));
    } else {
        let some = "Steps of the procedure that have no result, or none that still counts:";
        blocks.push(Block::Text(Tone::Bad, some.to_owned()));
        blocks.push(Block::List(points));
    }
    blocks
}
