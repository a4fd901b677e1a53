//! What came of a practice.

use super::course::{Course, StoppedBy};
use crate::netlist::PlacedFault;
use crate::record::{Diagnosed, Diagnosis, DiagnosisVerdict, Key, PracticeResult, StoppedWhen};

/// Judges a practice by its course, what the person said at its end, and what the circuit tells of the hidden fault.
#[must_use]
pub fn judged(course: &Course<'_>, told: &Diagnosed) -> PracticeResult {
    let probed = course.probed();
    let is_needless = |n: &usize| {
        let Some((point, before)) = probed.get(..=*n).and_then(<[_]>::split_last) else {
            return false;
        };
        point.is_empty() || before.contains(point)
    };
    PracticeResult {
        said: told.said.clone(),
        fault: told.fault.clone(),
        diagnosis: diagnosis(told),
        stopped: stopped(course, told),
        stop: told.stop.clone(),
        missed: missed(course, &told.signs),
        read: probed.len(),
        needless: (0..probed.len()).filter(is_needless).count(),
        worst: told.worst.clone(),
    }
}

fn diagnosis(told: &Diagnosed) -> DiagnosisVerdict {
    let (name, fault) = match (&told.said, &told.fault) {
        (Diagnosis::NotKnown, _) => return DiagnosisVerdict::NotSaid,
        (Diagnosis::Sound, None) => return DiagnosisVerdict::Right,
        (Diagnosis::Part { name, fault }, Some(hidden)) => {
            let hidden: Option<PlacedFault> = hidden.parse().ok();
            let hidden = hidden.filter(|hidden| hidden.part.eq_ignore_ascii_case(name));
            (hidden, fault)
        }
        (Diagnosis::Sound, Some(_)) | (Diagnosis::Part { .. }, None) => (None, &None),
    };
    let is_fault = |hidden: &PlacedFault| fault.as_ref() == Some(&hidden.fault.to_string());
    match name {
        Some(hidden) if is_fault(&hidden) => DiagnosisVerdict::Right,
        _ if told.is_alike => DiagnosisVerdict::CannotBeTold,
        Some(_) => DiagnosisVerdict::PartRight,
        None => DiagnosisVerdict::Wrong,
    }
}

fn stopped(course: &Course<'_>, told: &Diagnosed) -> StoppedWhen {
    // Before a source is on nothing of the circuit shows.
    let was_live = !course.live().is_empty();
    let by_reading = was_live && course.was_stopped(StoppedBy::Reading);
    match (&told.fault, &told.stop) {
        (None, _) if by_reading => StoppedWhen::WithoutCause,
        (None, _) => StoppedWhen::NothingWrong,
        (Some(_), None) => StoppedWhen::NoStepStops,
        (Some(_), Some(stop)) if is_passed(course, stop) => StoppedWhen::Late,
        (Some(_), Some(_)) if by_reading || was_live && course.was_stopped(StoppedBy::Person) => {
            StoppedWhen::InTime
        }
        (Some(_), Some(_)) => StoppedWhen::Left,
    }
}

/// Whether a step was left behind, or what was read at it was taken as good.
fn is_passed(course: &Course<'_>, key: &Key) -> bool {
    let is_behind = course.place(key) < course.furthest() && course.furthest().is_some();
    is_behind || course.was_good(key) == Some(true)
}

/// The steps that were passed although something was outside.
fn missed(course: &Course<'_>, signs: &[Key]) -> Vec<Key> {
    let mut missed: Vec<Key> = Vec::new();
    for key in signs.iter().filter(|key| is_passed(course, key)) {
        // One that was read outside was seen, even if somebody went on behind it.
        if course.was_good(key) != Some(false) && !missed.contains(key) {
            missed.push(key.clone());
        }
    }
    missed
}
