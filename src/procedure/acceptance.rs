//! The window of a reading as written in a procedure.

use serde::Deserialize;

use super::step::Piece;
use super::{At, Expression, ValueLookup};
use crate::quantity::{Dimension, Quantity};
use crate::record::Unworkable;
use crate::window::{Bounds, Within};

/// The acceptance window of a reading. Limits are inclusive.
#[derive(Clone, Debug, Default, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Acceptance {
    /// Highest good value.
    pub at_most: Option<Expression>,
    /// Lowest good value.
    pub at_least: Option<Expression>,
    /// Lowest and highest good value.
    pub between: Option<Vec<Expression>>,
    /// The value aimed at; needs `within`.
    pub near: Option<Expression>,
    /// Another reading it should equal; needs `within`.
    pub like: Option<Expression>,
    /// How far from `near` or `like`: a quantity, or a percentage of it.
    pub within: Option<Expression>,
    /// What a sound piece of equipment reads, shown beside the window.
    pub expected: Option<Expression>,
    /// An over-range reading (`OL`, open) is good.
    #[serde(default)]
    pub open_ok: bool,
    /// The value is recorded and not judged.
    pub record_only: Option<At<bool>>,
}

impl Acceptance {
    /// Names the forms that are written: a window has exactly one, except that `at_least` and `at_most` pair up.
    #[must_use]
    pub fn forms(&self) -> Vec<&'static str> {
        let forms = [
            ("at_most", self.at_most.is_some()),
            ("at_least", self.at_least.is_some()),
            ("between", self.between.is_some()),
            ("near", self.near.is_some()),
            ("like", self.like.is_some()),
            ("record_only", self.is_record_only()),
        ];
        forms.into_iter().filter(|(_, written)| *written).map(|(form, _)| form).collect()
    }

    /// Tells whether the value is recorded and not judged.
    #[must_use]
    pub fn is_record_only(&self) -> bool {
        self.record_only.as_ref().is_some_and(|only| only.value)
    }

    /// The window in the words of the file: `at most 1.5 * emitter_resistor`.
    #[must_use]
    pub fn as_written(&self) -> String {
        let text = |expression: &Option<Expression>| {
            expression.as_ref().map(|expression| expression.text.value.clone()).unwrap_or_default()
        };
        let ends = self.between.iter().flatten().map(|end| end.text.value.as_str());
        let forms = self.forms().into_iter().map(|form| match form {
            "at_most" => format!("at most {}", text(&self.at_most)),
            "at_least" => format!("at least {}", text(&self.at_least)),
            "between" => ends.clone().collect::<Vec<_>>().join(" to "),
            "near" => format!("{}, within {}", text(&self.near), text(&self.within)),
            "like" => format!("like {}, within {}", text(&self.like), text(&self.within)),
            _ => "recorded, not judged".to_owned(),
        });
        let open = self.open_ok.then(|| "open is good".to_owned());
        forms.chain(open).collect::<Vec<_>>().join(", ")
    }

    /// Calls `visit` with every expression and the dimension it must have.
    pub fn visit<'a>(&'a self, dimension: Dimension, visit: &mut dyn FnMut(Piece<'a>)) {
        let limits = [
            ("at_most", &self.at_most),
            ("at_least", &self.at_least),
            ("near", &self.near),
            ("like", &self.like),
            ("expected", &self.expected),
        ];
        let limits = limits.into_iter().filter_map(|(key, limit)| Some((key, limit.as_ref()?)));
        let ends = self.between.iter().flatten().map(|end| ("between", end));
        for (key, expression) in limits.chain(ends) {
            visit(Piece::Quantity { key, expression, dimension });
        }
        if let Some(expression) = &self.within {
            visit(Piece::Within { key: "within", expression, dimension });
        }
    }

    /// Works the limits out.
    ///
    /// # Errors
    /// An expression without a usable value, or limits that contradict each other.
    pub fn bounds(&self, values: &ValueLookup<'_>) -> Result<Bounds, Unworkable> {
        let worked = |expression: &Option<Expression>| {
            expression.as_ref().map(|e| e.evaluate(values)).transpose()
        };
        let bounds = if let Some(centre) = self.near.as_ref().or(self.like.as_ref()) {
            self.around(centre.evaluate(values)?, values)?
        } else if let Some([low, high]) = self.between.as_deref() {
            ends(Some(low.evaluate(values)?), Some(high.evaluate(values)?))?
        } else if self.is_record_only() {
            Bounds::record_only()
        } else {
            ends(worked(&self.at_least)?, worked(&self.at_most)?)?
        };
        let bounds = bounds.with_open_ok(self.open_ok);
        Ok(match worked(&self.expected)? {
            Some(expected) => bounds.with_expected(expected),
            None => bounds,
        })
    }

    fn around(&self, centre: Quantity, values: &ValueLookup<'_>) -> Result<Bounds, Unworkable> {
        let Some(within) = &self.within else {
            return Err(Unworkable::NoWidth);
        };
        Ok(Bounds::near(centre, width(within, centre.dimension, values)?)?)
    }
}

/// How far from a value of this dimension: a quantity, or a percentage of it.
pub(super) fn width(
    within: &Expression,
    of: Dimension,
    values: &ValueLookup<'_>,
) -> Result<Within, Unworkable> {
    let width = within.evaluate(values)?;
    let relative = width.dimension == Dimension::NONE
        && (of != Dimension::NONE || within.text.trim_end().ends_with('%'));
    Ok(if relative { Within::Percent(width.value.shift(2)) } else { Within::Absolute(width) })
}

fn ends(low: Option<Quantity>, high: Option<Quantity>) -> Result<Bounds, Unworkable> {
    match (low, high) {
        (Some(low), Some(high)) => Ok(Bounds::between(low, high)?),
        (Some(low), None) => Ok(Bounds::at_least(low)),
        (None, Some(high)) => Ok(Bounds::at_most(high)),
        (None, None) => Err(Unworkable::NoLimit),
    }
}
