//! `hold`: a second person has to let the work go on.

use serde::Deserialize;

use super::{Kind, Piece, only};
use crate::procedure::act::{Act, Keyed};
use crate::procedure::{At, ValueLookup};
use crate::record::Unworkable;

/// A hold point: work does not pass until a named second person releases it.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Hold {
    /// The role that releases it; never the role that runs the procedure.
    pub released_by: At<String>,
    /// What that person has to have seen.
    pub ask: At<String>,
}

impl Hold {
    /// The act it comes down to.
    #[must_use]
    pub fn act(&self) -> Act {
        Act::Hold { role: self.released_by.value.clone(), ask: self.ask.value.clone() }
    }
}

impl Kind for Hold {
    fn name(&self) -> &'static str {
        "hold"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>)) {
        visit(Piece::Text(&self.released_by));
        visit(Piece::Text(&self.ask));
    }

    fn acts(&self, _: &ValueLookup<'_>) -> Result<Vec<Keyed>, Unworkable> {
        Ok(only(self.act()))
    }
}
