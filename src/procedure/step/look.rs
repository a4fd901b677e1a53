//! `look`: something to look at, with stated answers.

use serde::Deserialize;

use super::{Kind, Piece, only};
use crate::procedure::act::{Act, Choice, Keyed};
use crate::procedure::{At, ValueLookup};
use crate::record::Unworkable;

/// Something to look at, listen to or smell, answered with one of the stated answers.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Look {
    /// At what, and when.
    pub at: At<String>,
    /// The answers that let the work go on.
    pub good: Vec<At<String>>,
    /// The answers that stop the run.
    pub bad: Vec<Bad>,
}

/// An answer that stops the run.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Bad {
    /// The words to choose.
    pub say: At<String>,
    /// The likely cause.
    pub likely: At<String>,
    /// What to check next.
    pub next: At<String>,
}

impl Kind for Look {
    fn name(&self) -> &'static str {
        "look"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>)) {
        visit(Piece::Text(&self.at));
        for say in &self.good {
            visit(Piece::Text(say));
        }
        for bad in &self.bad {
            for text in [&bad.say, &bad.likely, &bad.next] {
                visit(Piece::Text(text));
            }
        }
    }

    fn acts(&self, _: &ValueLookup<'_>) -> Result<Vec<Keyed>, Unworkable> {
        let good = self.good.iter().map(|say| Choice {
            say: say.value.clone(),
            good: true,
            likely: None,
            next: None,
        });
        let bad = self.bad.iter().map(|bad| Choice {
            say: bad.say.value.clone(),
            good: false,
            likely: Some(bad.likely.value.clone()),
            next: Some(bad.next.value.clone()),
        });
        Ok(only(Act::Look { what: self.at.value.clone(), choices: good.chain(bad).collect() }))
    }
}
