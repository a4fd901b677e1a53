//! A hazard notice: what the hazard is, what it does, how to avoid it.

use serde::Deserialize;

use super::step::Piece;
use super::{At, Expression};
use crate::quantity::Dimension;
use crate::record::Signal;

/// The worst credible harm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Harm {
    /// Someone dies.
    Death,
    /// Someone is maimed or badly hurt.
    SeriousInjury,
    /// Someone is hurt a little.
    MinorInjury,
    /// Only things are damaged.
    Property,
}

/// How likely the harm is when the notice is not followed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Likely {
    /// It will happen.
    Will,
    /// It could happen.
    #[default]
    Could,
}

/// A hazard notice, shown before the act it guards.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Hazard {
    /// The signal word; must be the one that harm and likelihood give.
    pub signal: At<Signal>,
    /// The worst credible harm.
    pub harm: At<Harm>,
    /// How likely it is when the notice is not followed.
    #[serde(default)]
    pub likely: Likely,
    /// What the hazard is.
    pub risk: At<String>,
    /// What happens to a person who does not avoid it.
    pub result: At<String>,
    /// How to avoid it.
    pub avoid: At<String>,
    /// A question about the hazard: a DANGER notice does not pass without its answer.
    pub confirm: Option<Confirm>,
}

/// A question whose answer shows that the notice was read.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Confirm {
    /// The question.
    pub ask: At<String>,
    /// The voltage to be typed; taken within 10 %.
    pub voltage: Option<Expression>,
    /// The word to be typed.
    pub word: Option<At<String>>,
}

impl Hazard {
    /// The signal word that severity gives.
    ///
    /// ANSI Z535.4 definitions as reproduced in public summaries: DANGER, will result in death or serious injury;
    /// WARNING, could; CAUTION, minor or moderate injury; NOTICE, not related to injury.
    #[must_use]
    pub fn due_signal(&self) -> Signal {
        match (self.harm.value, self.likely) {
            (Harm::Death | Harm::SeriousInjury, Likely::Will) => Signal::Danger,
            (Harm::Death | Harm::SeriousInjury, Likely::Could) => Signal::Warning,
            (Harm::MinorInjury, _) => Signal::Caution,
            (Harm::Property, _) => Signal::Notice,
        }
    }

    /// Calls `visit` with every text and expression.
    pub fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>)) {
        for text in [&self.risk, &self.result, &self.avoid] {
            visit(Piece::Text(text));
        }
        let Some(confirm) = &self.confirm else { return };
        visit(Piece::Text(&confirm.ask));
        if let Some(word) = &confirm.word {
            visit(Piece::Text(word));
        }
        if let Some(expression) = &confirm.voltage {
            visit(Piece::Quantity { key: "voltage", expression, dimension: Dimension::VOLTAGE });
        }
    }
}
