//! `do`: one action of the person.

use serde::Deserialize;

use super::{Kind, Part, only};
use crate::formula::FormulaError;
use crate::procedure::act::{Act, Keyed};
use crate::procedure::{At, Values};

/// One action of the person, as a sentence that begins with its verb.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(transparent)]
pub struct Do(pub At<String>);

impl Kind for Do {
    fn name(&self) -> &'static str {
        "do"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Part<'a>)) {
        visit(Part::Text(&self.0));
    }

    fn is_hands_on(&self) -> bool {
        true
    }

    fn acts(&self, _: &Values<'_>) -> Result<Vec<Keyed>, FormulaError> {
        Ok(only(Act::Do { what: self.0.value.clone() }))
    }
}
