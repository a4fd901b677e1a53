//! `do`: one action of the person.

use serde::Deserialize;

use super::{Kind, Piece, only};
use crate::procedure::act::{Act, Keyed};
use crate::procedure::{At, ValueLookup};
use crate::record::Unworkable;

/// One action of the person, as a sentence that begins with its verb.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(transparent)]
pub struct Do(pub At<String>);

impl Kind for Do {
    fn name(&self) -> &'static str {
        "do"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>)) {
        visit(Piece::Text(&self.0));
    }

    fn is_hands_on(&self) -> bool {
        true
    }

    fn acts(&self, _: &ValueLookup<'_>) -> Result<Vec<Keyed>, Unworkable> {
        Ok(only(Act::Do { what: self.0.value.clone() }))
    }
}
