//! `wait`: time that has to pass.

use serde::Deserialize;

use super::{Kind, Piece, only};
use crate::procedure::act::{Act, Keyed, milliseconds};
use crate::procedure::{At, Expression, ValueLookup};
use crate::quantity::Dimension;
use crate::record::Unworkable;

/// Time that has to pass before the next step. While the equipment is live nothing moves on by itself at its end.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Wait {
    /// What the time is for.
    pub what: At<String>,
    /// How long.
    pub time: Expression,
}

impl Kind for Wait {
    fn name(&self) -> &'static str {
        "wait"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>)) {
        visit(Piece::Text(&self.what));
        visit(Piece::Quantity { key: "time", expression: &self.time, dimension: Dimension::TIME });
    }

    fn acts(&self, values: &ValueLookup<'_>) -> Result<Vec<Keyed>, Unworkable> {
        let ms = milliseconds(&self.time.evaluate(values)?)?;
        Ok(only(Act::Wait { ms, what: self.what.value.clone() }))
    }
}
