//! `compare`: two independent ways to the same quantity, which have to agree.

use serde::Deserialize;

use super::{Gives, Kind, Piece, only};
use crate::procedure::act::{Act, Keyed};
use crate::procedure::{Acceptance, At, Expression, ValueLookup};
use crate::quantity::{Quantity, Unit};
use crate::record::Unworkable;
use crate::window::Sign;

/// One quantity come by in two ways, judged by how far apart they are.
///
/// A fault can spoil the measurement itself: over an open emitter resistor the drop is no measure of the current. No
/// window around one value shows that; a second way that does not share the part does.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Compare {
    /// What the quantity is.
    pub what: At<String>,
    /// The way that is judged; formulas see its value.
    pub this: Expression,
    /// The other way.
    pub with: Expression,
    /// How far the first may be from the second: a quantity, or a percentage of the second.
    pub within: Expression,
    /// The unit both are shown in.
    pub unit: Unit,
}

impl Compare {
    /// The window around the second value.
    fn window(&self) -> Acceptance {
        Acceptance {
            near: Some(self.with.clone()),
            within: Some(self.within.clone()),
            ..Acceptance::default()
        }
    }
}

impl Kind for Compare {
    fn name(&self) -> &'static str {
        "compare"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>)) {
        let dimension = self.unit.dimension();
        visit(Piece::Text(&self.what));
        for (key, expression) in [("this", &self.this), ("with", &self.with)] {
            visit(Piece::Quantity { key, expression, dimension });
        }
        visit(Piece::Within { key: "within", expression: &self.within, dimension });
    }

    fn gives(&self) -> Option<Gives<'_>> {
        Some(Gives::Reading(&self.unit))
    }

    fn unit(&self) -> Option<&Unit> {
        Some(&self.unit)
    }

    fn is_judged(&self) -> Option<bool> {
        Some(true)
    }

    fn sign(&self) -> Sign {
        // It may be a difference.
        Sign::EitherWay
    }

    fn acts(&self, values: &ValueLookup<'_>) -> Result<Vec<Keyed>, Unworkable> {
        let (this, with) = (self.this.evaluate(values)?, self.with.evaluate(values)?);
        let shown = |value: &Quantity| value.engineering(4, Some(&self.unit));
        Ok(only(Act::WorkOut {
            what: format!("{}: {} against {}", *self.what, shown(&this), shown(&with)),
            value: this,
            unit: self.unit.clone(),
            bounds: self.window().bounds(values)?.with_sign(self.sign()),
        }))
    }
}
