//! `prove_dead`: every charge point measured dead, with the meter proved before and after.

use serde::Deserialize;

use super::{Kind, Piece, only};
use crate::procedure::act::{Act, Keyed};
use crate::procedure::{At, ValueLookup};
use crate::record::Unworkable;

/// Three readings at each charge point of the procedure: known source, point, known source. The text says what for.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(transparent)]
pub struct ProveDead(pub At<String>);

impl Kind for ProveDead {
    fn name(&self) -> &'static str {
        "prove_dead"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>)) {
        visit(Piece::Text(&self.0));
    }

    fn acts(&self, _: &ValueLookup<'_>) -> Result<Vec<Keyed>, Unworkable> {
        Ok(only(Act::ProveDead))
    }
}
