//! A question of a procedure about the equipment, and what helps a person to answer it.

use serde::Deserialize;

use super::{Acceptance, At, Expression, Ordered};
use crate::quantity::{Dimension, Unit};

/// A question about the equipment; its answer is a fact.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Ask {
    /// The question.
    pub ask: At<String>,
    /// The unit of the answer; none for a plain number.
    pub unit: Option<Unit>,
    /// Lowest and highest credible answer.
    pub between: Option<Vec<Expression>>,
    /// How far the true value may be from the answer, as a part of it: the marking's tolerance.
    pub tolerance: Option<Expression>,
    /// The answer is a list of part names.
    #[serde(default)]
    pub parts: bool,
    /// The answer is the word of a rule set of the electrical safety check. Only the question called `safety_rules` is such.
    #[serde(default)]
    pub rule_set: bool,
    /// The answer may be `none`: the equipment has no such resistor. Only for what discharges a charge point.
    #[serde(default)]
    pub none_ok: bool,
    /// Begins a group of questions: what they are about.
    pub group: Option<At<String>>,
    /// Where the answer is found: rating plate, service data, or how it is measured.
    pub find: Option<At<String>>,
    /// An answer as it is written.
    pub example: Option<At<String>>,
    /// What stands in where the answer can't be found. Without it the question can't be left out.
    pub unknown: Option<StandIn>,
    /// How the answer is worked out from what is known more often.
    pub offer: Option<FactOffer>,
}

/// What stands in for a fact that can't be found, on the strict side: never a guess.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct StandIn {
    /// The answer that is taken.
    pub take: At<String>,
    /// What that does: why it is the strict side.
    pub then: At<String>,
}

/// A way to a fact from others.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FactOffer {
    /// Plain values that have to be known for it beside the facts above. They are no facts themselves.
    pub from: Ordered<Ask>,
    /// The formula: with facts above this one, and with what it is worked out from.
    pub value: Expression,
    /// Where the formula comes from and how far it can be relied on.
    pub basis: At<String>,
}

impl Ask {
    /// Tells whether the answer is a value: no list of parts, and no rule set.
    #[must_use]
    pub fn is_value(&self) -> bool {
        !self.parts && !self.rule_set
    }

    /// The unit of the answer.
    #[must_use]
    pub fn unit(&self) -> Unit {
        self.unit.clone().unwrap_or_else(|| Unit::base(Dimension::NONE))
    }

    /// The credible range as a window.
    #[must_use]
    pub fn acceptance(&self) -> Acceptance {
        match &self.between {
            Some(ends) => Acceptance { between: Some(ends.clone()), ..Acceptance::default() },
            None => Acceptance {
                record_only: Some(At { value: true, span: self.ask.span }),
                ..Acceptance::default()
            },
        }
    }
}
