//! A procedure as it is written.

use serde::Deserialize;

use super::step::{Gives, Hold, Piece, Step};
use super::{Acceptance, Ask, At, CeilingText, Expression, Hazard, Ordered, Verify};
use crate::formula::FormulaError;
use crate::quantity::Quantity;
use crate::record::Source;
use crate::window::Rule;

/// A procedure: what to ask, where charge stays, and the stages.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Procedure {
    /// Number of the file format: 1.
    pub format: At<u32>,
    /// The procedure's name.
    pub procedure: At<String>,
    /// Its revision.
    pub revision: At<u32>,
    /// Who approved this revision.
    pub approved_by: Option<At<String>>,
    /// What it is for, in one line.
    pub title: At<String>,
    /// What it covers and what it does not.
    pub scope: Option<At<String>>,
    /// The class of equipment that a person has to be competent for (default: the procedure's own name).
    pub class: Option<At<String>>,
    /// The role that runs it.
    pub run_by: At<String>,
    /// Facts about the equipment, taken from its file or asked for.
    #[serde(default)]
    pub asks: Ordered<Ask>,
    /// Values worked out from the facts, in order.
    #[serde(default)]
    pub work_out: Ordered<Expression>,
    /// Where charge can stay after the source is off.
    pub charge_points: Ordered<ChargePoint>,
    /// A live source of known voltage that proves the meter.
    pub known_source: KnownSource,
    /// How the meter's uncertainty enters the verdicts (default: `simple`).
    pub decision_rule: Option<At<DecisionRule>>,
    /// The guard band in parts of the expanded uncertainty (default: 100 %).
    pub guard_band: Option<Expression>,
    /// How long a proof of "dead" is believed (default 30 min).
    pub proof_lasts: Option<Expression>,
    /// How often a person confirms to be there while time passes on the mains (default 10 min).
    pub presence_every: Option<Expression>,
    /// How long results stand before their stages are taken again (default: 10 h, a working day).
    pub results_stand_for: Option<Expression>,
    /// The stages, in order of rising energy.
    pub stages: Vec<Stage>,
}

/// How the uncertainty of a reading enters its verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum DecisionRule {
    /// It does not.
    Simple,
    /// A limit has a guard band on both sides, within which a reading is undecided.
    Guarded,
}

/// A place where charge can stay after the source is off.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ChargePoint {
    /// Where the probes go.
    pub at: At<String>,
    /// The highest voltage that counts as dead.
    pub below: Expression,
    /// What it holds, as far as it is known: the wait after switch-off is worked out from it.
    pub holds: Option<Stored>,
    /// The cover that it is behind: nobody is asked to measure it before a step has opened that, or after one has closed it.
    pub behind: Option<At<String>>,
}

impl ChargePoint {
    /// Where the probes go (`at`, with its values), with the cover that has to be open for it.
    #[must_use]
    pub fn with_cover(&self, at: String) -> String {
        match &self.behind {
            Some(cover) => format!("{at} (where the {} is open)", cover.value),
            None => at,
        }
    }
}

/// Stored charge and its way out.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Stored {
    /// The capacitance.
    pub capacitance: Expression,
    /// The highest voltage it is charged to.
    pub charged_to: Expression,
    /// The resistance that discharges it by itself, if one is known.
    pub bleeder: Option<Expression>,
}

/// A live source of known voltage that proves the meter before and after.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct KnownSource {
    /// What it is.
    pub what: At<String>,
    /// Lowest and highest voltage the meter may show on it.
    pub between: Vec<Expression>,
    /// The function of the meter that proves dead, by its name in the bench file. A rehearsal reads the simulated one; on
    /// real equipment a person types what the meter shows.
    pub function: Option<At<String>>,
}

/// Steps that share one source and one ceiling.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Stage {
    /// The stage's name.
    pub stage: At<String>,
    /// What it is for, in a few words.
    pub title: At<String>,
    /// What energises the equipment.
    pub source: At<Source>,
    /// The most that source can deliver.
    pub ceiling: Option<CeilingText>,
    /// A notice for the whole stage.
    pub hazard: Option<Hazard>,
    /// Its steps test whether the equipment is safe: who may take them is a duty of its own.
    #[serde(default)]
    pub safety_test: bool,
    /// A hold point before its first step.
    pub hold: Option<Hold>,
    /// `concurrent`: two people agree before its source comes on, then one switches while the other watches.
    pub verify: Option<At<Verify>>,
    /// What outputs of a supply have to stay inside of while the source is on: `plus.current: {at_most: 80 mA}`.
    #[serde(default)]
    pub while_on: Ordered<Acceptance>,
    /// The steps, in order.
    pub steps: Vec<Step>,
}

/// A likely cause of a reading outside its window, and what to check next.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Hint {
    /// The hint is for readings below this value.
    pub below: Option<Expression>,
    /// The hint is for readings above this value.
    pub above: Option<Expression>,
    /// The likely cause.
    pub likely: At<String>,
    /// What to check next.
    pub next: At<String>,
}

impl Hint {
    /// Calls `visit` with every text and expression; `gives` is what the step reads.
    pub fn visit<'a>(&'a self, gives: Option<Gives<'a>>, visit: &mut dyn FnMut(Piece<'a>)) {
        visit(Piece::Text(&self.likely));
        visit(Piece::Text(&self.next));
        let Some(Gives::Reading(unit)) = gives else { return };
        for (key, limit) in [("below", &self.below), ("above", &self.above)] {
            if let Some(expression) = limit {
                visit(Piece::Quantity { key, expression, dimension: unit.dimension() });
            }
        }
    }
}

impl Stage {
    /// The outputs of a supply that its steps set.
    pub fn channels(&self) -> impl Iterator<Item = &At<String>> {
        self.steps.iter().filter_map(|step| step.set.as_ref()).flat_map(|set| &set.channels)
    }
}

impl Procedure {
    /// The decision rule of its readings.
    ///
    /// # Errors
    /// A guard band that is no number.
    pub fn rule(&self) -> Result<Rule, FormulaError> {
        let guarded =
            self.decision_rule.as_ref().is_some_and(|rule| rule.value == DecisionRule::Guarded);
        if !guarded {
            return Ok(Rule::Simple);
        }
        let Some(band) = &self.guard_band else { return Ok(Rule::GUARDED) };
        Ok(Rule::Guarded { fraction: band.evaluate(&|_: &str| None)?.to_f64() })
    }

    /// The class of equipment that a person has to be competent for.
    #[must_use]
    pub fn class(&self) -> &str {
        self.class.as_ref().unwrap_or(&self.procedure)
    }

    /// The voltage above which the equipment is not dead: the lowest limit of its charge points, as far as they are known.
    pub fn dead_limit(&self, value: impl Fn(&Expression) -> Option<Quantity>) -> Option<Quantity> {
        let limits = self.charge_points.iter().filter_map(|(_, point)| value(&point.below));
        limits.min_by(|one, other| one.value.cmp(&other.value))
    }

    /// All steps with the stage they are in.
    pub fn steps(&self) -> impl Iterator<Item = (&Stage, &Step)> {
        self.stages.iter().flat_map(|stage| stage.steps.iter().map(move |step| (stage, step)))
    }

    /// The step of this name.
    #[must_use]
    pub fn step(&self, name: &str) -> Option<&Step> {
        self.steps().map(|(_, step)| step).find(|step| step.step.as_str() == name)
    }
}
