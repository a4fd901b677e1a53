//! `witness`: a second person is called and may waive it.

use serde::Deserialize;

use super::{Kind, Piece, only};
use crate::procedure::act::{Act, Keyed};
use crate::procedure::{At, ValueLookup};
use crate::record::Unworkable;

/// A witness point: the other person is told and may attend; work goes on if that person waives it.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Witness {
    /// The role that is called.
    pub by: At<String>,
    /// What there is to see.
    pub ask: At<String>,
    /// Whether it takes somebody who stays in reach: nobody waives that. Working alone is an answer of its own then.
    #[serde(default)]
    pub in_reach: bool,
}

impl Kind for Witness {
    fn name(&self) -> &'static str {
        "witness"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>)) {
        visit(Piece::Text(&self.by));
        visit(Piece::Text(&self.ask));
    }

    fn acts(&self, _: &ValueLookup<'_>) -> Result<Vec<Keyed>, Unworkable> {
        let (role, ask) = (self.by.value.clone(), self.ask.value.clone());
        Ok(only(Act::Witness { role, ask, in_reach: self.in_reach }))
    }
}
