//! `attach`: a photo or file to put beside the record.

use serde::Deserialize;

use super::{Kind, Piece, only};
use crate::procedure::act::{Act, Keyed};
use crate::procedure::{At, ValueLookup};
use crate::record::Unworkable;

/// A photo or file to put beside the record; its hash goes into the record.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(transparent)]
pub struct Attach(pub At<String>);

impl Kind for Attach {
    fn name(&self) -> &'static str {
        "attach"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>)) {
        visit(Piece::Text(&self.0));
    }

    fn acts(&self, _: &ValueLookup<'_>) -> Result<Vec<Keyed>, Unworkable> {
        Ok(only(Act::Attach { ask: self.0.value.clone() }))
    }
}
