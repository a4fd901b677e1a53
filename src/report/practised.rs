//! A practice in words: what was read besides, and what came of it.

use super::Tone;
use crate::quantity::{Dimension, Quantity};
use crate::record::{BornePart, Diagnosis, DiagnosisVerdict, Key, PracticeResult, StoppedWhen};

/// One thing that came of a practice, with its name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PracticeLine {
    /// How it is meant.
    pub tone: Tone,
    /// What it is.
    pub name: &'static str,
    /// The words.
    pub text: String,
}

/// What was read besides what was asked.
#[must_use]
pub fn probed(point: Option<&str>, value: Option<Quantity>) -> String {
    let shown = match value {
        Some(value) => value.engineering(4, None),
        None => "nothing to read there: nothing feeds it".to_owned(),
    };
    match point {
        Some(point) => format!("{shown}  read at {point}"),
        None => format!("{shown}  is what the meter shows"),
    }
}

/// Everything that came of a practice.
#[must_use]
pub fn practice_lines(result: &PracticeResult) -> Vec<PracticeLine> {
    let PracticeResult { diagnosis, stopped, missed, .. } = result;
    let line = |tone, name, text| PracticeLine { tone, name, text };
    let good = |is_good| if is_good { Tone::Good } else { Tone::Bad };
    let is_right = matches!(diagnosis, DiagnosisVerdict::Right | DiagnosisVerdict::CannotBeTold);
    let is_in_time = !matches!(stopped, StoppedWhen::Late | StoppedWhen::WithoutCause);
    vec![
        line(Tone::Strong, "hidden", fault(result.fault.as_deref())),
        line(good(is_right), "said", format!("{}: {}", said(&result.said), diagnosis.words())),
        line(good(is_in_time), "stop", format!("{}{}", stopped.words(), stops_at(result))),
        line(good(missed.is_empty()), "missed", signs(missed)),
        line(Tone::Plain, "read", read(result)),
        line(Tone::Plain, "worst part", worst(result.worst.as_ref())),
    ]
}

/// The same in one sentence.
pub(super) fn in_short(result: &PracticeResult) -> String {
    let all = practice_lines(result).into_iter().map(|line| format!("{} {}", line.name, line.text));
    format!("practice: {}", all.collect::<Vec<_>>().join("; "))
}

fn fault(fault: Option<&str>) -> String {
    fault.unwrap_or("nothing, it was sound").to_owned()
}

/// What the person said.
#[must_use]
pub fn said(said: &Diagnosis) -> String {
    match said {
        Diagnosis::NotKnown => "don't know".to_owned(),
        Diagnosis::Sound => "nothing is wrong".to_owned(),
        Diagnosis::Part { name, fault: Some(fault) } => format!("{name}:{fault}"),
        Diagnosis::Part { name, fault: None } => format!("{name}, its fault not known"),
    }
}

fn stops_at(result: &PracticeResult) -> String {
    let at = result.stop.as_ref().map(|key| format!("; the procedure stops at `{key}`"));
    at.unwrap_or_default()
}

fn signs(missed: &[Key]) -> String {
    let names: Vec<_> = missed.iter().map(|key| format!("`{key}`")).collect();
    if names.is_empty() { "no sign".to_owned() } else { names.join(", ") }
}

fn read(result: &PracticeResult) -> String {
    let points = if result.read == 1 { "point" } else { "points" };
    format!("{} {points} besides what was asked, {} needless", result.read, result.needless)
}

/// What the worst part bore.
#[must_use]
pub fn worst(worst: Option<&BornePart>) -> String {
    let Some(part) = worst else { return "nothing was fed".to_owned() };
    let energy = part.joules.and_then(|joules| Quantity::from_f64(joules, Dimension::ENERGY));
    let energy = energy.map(|energy| format!(", {} in all", energy.engineering(3, None)));
    format!(
        "{}: {} of {}, {:.2} times{}",
        part.name,
        part.most.engineering(3, None),
        part.rating.engineering(3, None),
        part.times(),
        energy.unwrap_or_default()
    )
}
