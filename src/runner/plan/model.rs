//! What a plan holds.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::quantity::{Quantity, Unit};
use crate::record::{Ceiling, Refusal, Source, Unworkable};
use crate::runner::AtHand;
use crate::window::{Bounds, Uncertainty};

/// The plan of a run.
#[derive(Clone, Debug, Serialize)]
pub struct Plan {
    /// The facts that are not known, or cannot be used.
    pub missing: Vec<Missing>,
    /// What cannot be worked out though all that it needs is known: the place and why.
    pub errors: Vec<PlanError>,
    /// What has to be there before it begins.
    pub at_hand: AtHand,
    /// The values worked out from the facts, in order.
    pub worked_out: Vec<Figure>,
    /// What follows whenever the source goes off.
    pub making_safe: MakingSafe,
    /// The stages, in order.
    pub stages: Vec<StagePlan>,
}

/// What cannot be worked out.
#[derive(Clone, Debug, Serialize)]
pub struct PlanError {
    /// The value, the charge point, the stage or the step.
    pub place: String,
    /// Why.
    pub error: Unworkable,
}

/// A fact that is not known.
#[derive(Clone, Debug, Serialize)]
pub struct Missing {
    /// Its name in the equipment file.
    pub name: String,
    /// The question.
    pub ask: String,
    /// The unit of the answer.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<Unit>,
    /// Why what the file says cannot be used.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<Refusal>,
}

/// One number of the plan, with where it comes from.
#[derive(Clone, Debug, Serialize)]
pub struct Figure {
    /// What it is: the name of a value, or the key that it is written under.
    pub name: String,
    /// The formula as it is written.
    pub formula: String,
    /// The names in the formula, each once.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub inputs: Vec<FormulaInput>,
    /// What comes out.
    #[serde(flatten)]
    pub found: Foreseen,
    /// The values, stages, steps and charge points that use it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub used_for: Vec<String>,
}

/// A name in a formula.
#[derive(Clone, Debug, Serialize)]
pub struct FormulaInput {
    /// The name.
    pub name: String,
    /// The unit of a fact.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<Unit>,
    /// What is known of it.
    #[serde(flatten)]
    pub found: Foreseen,
}

/// What is known of a number before the run.
#[derive(Clone, Debug, Serialize)]
#[serde(untagged)]
pub enum Foreseen {
    /// It is known.
    Value {
        /// The value.
        value: Quantity,
        /// How far it may deviate, where what it is made of has a tolerance.
        #[serde(skip_serializing_if = "Option::is_none")]
        uncertainty: Option<Uncertainty>,
    },
    /// It needs something that is not known yet.
    Needs(Needs),
    /// It cannot be worked out.
    Error {
        /// Why.
        error: Unworkable,
    },
}

/// What a number needs that is not known yet.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Needs {
    /// Steps that have to be done first.
    #[serde(skip_serializing_if = "BTreeSet::is_empty")]
    pub after: BTreeSet<String>,
    /// Facts that the equipment file has to give.
    #[serde(skip_serializing_if = "BTreeSet::is_empty")]
    pub missing: BTreeSet<String>,
}

/// What follows whenever the source goes off.
#[derive(Clone, Debug, Serialize)]
pub struct MakingSafe {
    /// The wait for stored charge (ms); none where a fact is missing that it takes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wait_ms: Option<u64>,
    /// The charge points of which it is not known how fast their charge leaves.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub unknown: Vec<String>,
    /// The charge points that have no bleeder: their charge is let out through a resistor.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub kept: Vec<String>,
    /// How long a proof of dead is believed (ms).
    pub proof_lasts_ms: u64,
    /// Where that time comes from, where the procedure writes it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub proof_lasts: Option<Figure>,
    /// What the known source is.
    pub known_source: String,
    /// What the meter may show on the known source.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub known_source_window: Option<Bounds>,
    /// The charge points, in the order they are measured.
    pub points: Vec<PointPlan>,
}

/// A place where charge can stay.
#[derive(Clone, Debug, Serialize)]
pub struct PointPlan {
    /// Its name.
    pub point: String,
    /// Where the probes go.
    pub at: String,
    /// What counts as dead.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub window: Option<Bounds>,
    /// How long its own bleeder needs from the highest voltage that it is charged to (ms), where that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wait_ms: Option<u64>,
    /// What the window and the wait are worked out from.
    pub figures: Vec<Figure>,
}

/// A stage.
#[derive(Clone, Debug, Serialize)]
pub struct StagePlan {
    /// Its name.
    pub stage: String,
    /// What it is for.
    pub title: String,
    /// What energises the equipment.
    pub source: Source,
    /// The most that the source can deliver.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ceiling: Option<Ceiling>,
    /// What the ceiling is worked out from.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub figures: Vec<Figure>,
    /// Why the ceiling is as high as it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// How often a person confirms to be there while time passes (ms), on the mains.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub presence_every_ms: Option<u64>,
    /// Where the time between two confirmations comes from, where the procedure writes it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub presence: Option<Figure>,
    /// What has to stay inside while the source is on.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub while_on: Vec<GuardPlan>,
    /// The steps that have a number in them.
    pub steps: Vec<StepPlan>,
}

/// What has to stay inside while the source is on.
#[derive(Clone, Debug, Serialize)]
pub struct GuardPlan {
    /// The point.
    pub point: String,
    /// What each sample has to be inside of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub window: Option<Bounds>,
    /// What the window is worked out from.
    pub figures: Vec<Figure>,
    /// The connected instrument that samples it; without one nobody does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sampled_by: Option<String>,
    /// Whether a supply that limits the current counts as outside as well.
    pub limiting_is_outside: bool,
}

/// A step with a number in it.
#[derive(Clone, Debug, Serialize)]
pub struct StepPlan {
    /// Its name.
    pub step: String,
    /// The kind of step, by its key.
    pub kind: &'static str,
    /// What is done.
    pub what: String,
    /// The parts that it is done for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<String>,
    /// The unit of the value.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<Unit>,
    /// What the values have to be inside of.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub windows: Vec<Window>,
    /// How long it waits, watches or ramps (ms).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub time_ms: Option<u64>,
    /// What the numbers are worked out from.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub figures: Vec<Figure>,
    /// Why the step is done.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
    /// What its limits are based on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub basis: Option<String>,
    /// The connected instrument that does it by itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// What the meter promises.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub meter: Option<JudgedBy>,
    /// How a second person verifies it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub verified: Option<Verified>,
    /// Whether the connected supply does it, so that it is left out.
    pub left_out: bool,
    /// Why the step cannot be laid out before the run.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub open: Option<Foreseen>,
}

/// How a second person verifies a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verified {
    /// The reading is taken again by somebody who does not know the first.
    ReadTwice,
    /// Two people agree before it is done.
    AgreedBefore,
}

/// What a value has to be inside of.
#[derive(Clone, Debug, Serialize)]
pub struct Window {
    /// What is judged: empty for the value itself, else `drift` in a minute or `settled`.
    pub of: &'static str,
    /// The limits.
    pub bounds: Bounds,
}

/// What the meter of a reading promises, at the value to expect.
#[derive(Clone, Debug, Serialize)]
pub struct JudgedBy {
    /// The function.
    pub function: String,
    /// The instrument's name on the bench.
    pub meter: String,
    /// The instrument in one line.
    pub instrument: String,
    /// The value at which it was looked: the one to expect, else the larger limit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<Quantity>,
    /// The end of the range that shows it; none where no range does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub range: Option<Quantity>,
    /// The uncertainty there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub uncertainty: Option<Uncertainty>,
    /// The width of the window over twice the expanded uncertainty.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ratio: Option<f64>,
}
