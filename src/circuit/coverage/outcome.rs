//! What becomes of each fault.

use serde::Serialize;

use super::missing::MissingReading;
use crate::record::Source;

/// What became of every fault of a circuit.
#[derive(Clone, Debug, Serialize)]
pub struct FaultCoverage {
    /// How many operating points were worked out.
    pub cases: usize,
    /// The version of the simulator.
    pub engine: u32,
    /// The steps that the circuit answers.
    pub read: Vec<String>,
    /// The steps of energised stages that are judged and that the circuit file says nothing of.
    pub unread: Vec<String>,
    /// Elements of the netlist that are no parts of the circuit file.
    pub untried: Vec<String>,
    /// Readings that the procedure does not take and that would stop most of what no step stops.
    pub missing: Vec<MissingReading>,
    /// Each fault, in the order of the circuit file.
    pub faults: Vec<FaultOutcome>,
}

/// What became of one fault.
#[derive(Clone, Debug, Serialize)]
pub struct FaultOutcome {
    /// The part and its fault, or two of them.
    pub fault: String,
    /// Where the part is, where the circuit file says it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub position: Option<String>,
    /// Where the procedure stops; none where it never does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stop: Option<Stop>,
    /// All steps that would be outside, if nobody had stopped.
    pub signs: Vec<OutsideStep>,
    /// How many energised stages were passed before.
    pub passed: usize,
    /// Whether it was on the direct mains, without having been stopped before.
    pub reaches_mains: bool,
    /// The part that has borne most for its rating up to the stop.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst: Option<Worst>,
    /// Why nothing is known of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unknown: Option<String>,
    /// For the sound circuit: what was read, and what was not.
    #[serde(skip)]
    pub(super) read: Vec<String>,
    #[serde(skip)]
    pub(super) unread: Vec<String>,
}

/// Where a procedure stops.
#[derive(Clone, Debug, Serialize)]
pub struct Stop {
    /// The stage.
    pub stage: String,
    /// The step, with its part.
    pub step: String,
    /// The source that was on.
    pub source: Source,
    /// What is read and the window, in words.
    pub reads: String,
}

/// A step that would be outside.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct OutsideStep {
    /// Its stage.
    pub stage: String,
    /// The step, with its part.
    pub step: String,
}

/// What a part has borne.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Worst {
    /// The part.
    pub part: String,
    /// How many times its rating, at the most.
    pub times: f64,
    /// The most that it bore, in words.
    pub most: String,
    /// What it is rated for, in words.
    pub rating: String,
    /// The energy that it took up until the stop (J), where it is rated in watts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub joules: Option<f64>,
}

impl FaultCoverage {
    /// The faults that no step stops.
    pub fn uncaught(&self) -> impl Iterator<Item = &FaultOutcome> {
        self.faults.iter().filter(|outcome| outcome.is_uncaught())
    }

    /// The faults that reach direct mains and there load a part beyond its rating.
    pub fn destructive(&self) -> impl Iterator<Item = &FaultOutcome> {
        self.faults.iter().filter(|outcome| outcome.reaches_mains && outcome.overloads())
    }

    /// The steps at which faults are stopped, in the order of the procedure, each with how many.
    #[must_use]
    pub fn stopped_at(&self) -> Vec<(&str, usize)> {
        let mut found: Vec<(&str, usize)> = Vec::new();
        for stop in self.faults.iter().filter_map(|outcome| outcome.stop.as_ref()) {
            match found.iter_mut().find(|(step, _)| *step == stop.step) {
                Some((_, count)) => *count += 1,
                None => found.push((&stop.step, 1)),
            }
        }
        // A guard stands behind the step that it is told of.
        let place = |step: &str| self.read.iter().position(|read| step.starts_with(read.as_str()));
        found.sort_by_key(|(step, _)| (place(step), step.len()));
        found
    }

    /// The steps at which nothing is stopped that an earlier one has not stopped.
    #[must_use]
    pub fn idle(&self) -> Vec<&str> {
        let stops = self.stopped_at();
        let is_idle = |step: &&str| !stops.iter().any(|(stop, _)| stop == step);
        self.read.iter().map(String::as_str).filter(is_idle).collect()
    }

    /// The steps without any one of which no fault would go a stage further: what is outside there is outside at another step of its
    /// stage too, or at an earlier stage.
    #[must_use]
    pub fn spare(&self) -> Vec<&str> {
        let is_alone = |outcome: &FaultOutcome, step: &str| {
            let Some(first) = outcome.signs.first() else { return false };
            let mut signs = outcome.signs.iter().filter(|sign| sign.stage == first.stage);
            signs.all(|sign| sign.step == step)
        };
        let is_needed = |step: &str| self.faults.iter().any(|outcome| is_alone(outcome, step));
        self.read.iter().map(String::as_str).filter(|step| !is_needed(step)).collect()
    }
}

impl FaultOutcome {
    /// A fault before it is taken anywhere.
    pub(super) fn of(fault: String, position: Option<String>) -> Self {
        Self {
            fault,
            position,
            stop: None,
            signs: Vec::new(),
            passed: 0,
            reaches_mains: false,
            worst: None,
            unknown: None,
            read: Vec::new(),
            unread: Vec::new(),
        }
    }

    /// Whether no step stops it. What is not known is not told as missed.
    #[must_use]
    pub fn is_uncaught(&self) -> bool {
        self.stop.is_none() && self.unknown.is_none()
    }

    /// Whether a part bears more than it is rated for.
    #[must_use]
    pub fn overloads(&self) -> bool {
        self.worst.as_ref().is_some_and(|worst| worst.times > 1.0)
    }
}
