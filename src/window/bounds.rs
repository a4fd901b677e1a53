//! The limits of a window.

use serde::{Deserialize, Serialize};

use super::credible::{self, Sign};
use crate::quantity::{Decimal, Dimension, Quantity};

/// Digits to which limits worked out from a centre and a width are rounded.
const DIGITS_WORKED_OUT: u32 = 12;

/// The acceptance limits of a reading, all inclusive.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Bounds {
    /// The lowest value inside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low: Option<Quantity>,
    /// The highest value inside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high: Option<Quantity>,
    /// The value to expect; it is shown and judges nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expected: Option<Quantity>,
    /// Whether over-range is inside, as between the ends of an open circuit.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub open_ok: bool,
    /// Whether values are recorded and not judged.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub record_only: bool,
    /// What a minus means before a value of this window.
    #[serde(default, skip_serializing_if = "Sign::is_of_its_kind")]
    pub sign: Sign,
}

/// How far from its centre a window reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Within {
    /// A fixed distance; from a Celsius point, a temperature difference in K.
    Absolute(Quantity),
    /// A percentage of the size of the centre.
    Percent(Decimal),
}

/// Why limits make no window.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum WindowError {
    /// The limits are the wrong way round.
    #[error("the low limit {low} is above the high limit {high}: swap them")]
    LowAboveHigh {
        /// The low limit.
        low: Quantity,
        /// The high limit.
        high: Quantity,
    },
    /// The two values measure different things.
    #[error(
        "{left} and {right} do not go together: one is {}, the other {}",
        name(.left), name(.right)
    )]
    Dimensions {
        /// The first value.
        left: Quantity,
        /// The second value.
        right: Quantity,
    },
    /// A width below zero.
    #[error("the width {0} is below zero: write it without a minus")]
    NegativeWidth(String),
    /// A percentage of a point on the Celsius scale.
    #[error("a percentage of {0} has no meaning: give the width in K")]
    PercentOfCelsius(Quantity),
    /// A width so far from the centre's size that the limits have too many digits.
    #[error("{0} and its width differ too much in size: check the units")]
    TooManyDigits(Quantity),
}

fn name(quantity: &Quantity) -> String {
    quantity.dimension.name()
}

impl Bounds {
    /// The value at which it is looked up how well a meter tells: the one to expect, else the limit where it is coarser.
    #[must_use]
    pub fn looked_up_at(&self) -> Option<Quantity> {
        let limits = self.low.into_iter().chain(self.high);
        self.expected.or_else(|| limits.max_by_key(|limit| limit.value.abs()))
    }

    const NONE: Bounds = Bounds {
        low: None,
        high: None,
        expected: None,
        open_ok: false,
        record_only: false,
        sign: Sign::OfItsKind,
    };

    /// Accepts this value and everything below.
    pub const fn at_most(high: Quantity) -> Bounds {
        Bounds { high: Some(high), ..Bounds::NONE }
    }

    /// Accepts this value and everything above.
    pub const fn at_least(low: Quantity) -> Bounds {
        Bounds { low: Some(low), ..Bounds::NONE }
    }

    /// Accepts both values and what lies between; errors when they are the wrong way round or
    /// differ in dimension.
    pub fn between(low: Quantity, high: Quantity) -> Result<Bounds, WindowError> {
        match low.compare(&high) {
            None => Err(WindowError::Dimensions { left: low, right: high }),
            Some(order) if order.is_gt() => Err(WindowError::LowAboveHigh { low, high }),
            Some(_) => Ok(Bounds { low: Some(low), high: Some(high), ..Bounds::NONE }),
        }
    }

    /// Accepts values up to a distance from an expected one; limits are rounded to 12 significant
    /// digits.
    ///
    /// Errors on a width below zero, one of another dimension, and a percentage of a Celsius
    /// point.
    pub fn near(centre: Quantity, within: Within) -> Result<Bounds, WindowError> {
        let width = width(centre, within)?;
        let limit = |distance: Decimal| {
            let sum = centre.value.checked_add(distance);
            let value = sum.ok_or(WindowError::TooManyDigits(centre))?;
            Ok(Quantity::new(value.round_significant(DIGITS_WORKED_OUT), centre.dimension))
        };
        let bounds = Bounds::between(limit(width.neg())?, limit(width)?)?;
        Ok(bounds.with_expected(centre))
    }

    /// Records values without judging them.
    pub const fn record_only() -> Bounds {
        Bounds { record_only: true, ..Bounds::NONE }
    }

    /// Sets whether over-range is inside.
    #[must_use]
    pub const fn with_open_ok(self, open_ok: bool) -> Bounds {
        Bounds { open_ok, ..self }
    }

    /// Sets the value to expect.
    #[must_use]
    pub const fn with_expected(self, expected: Quantity) -> Bounds {
        Bounds { expected: Some(expected), ..self }
    }

    /// Sets what a minus means.
    #[must_use]
    pub const fn with_sign(self, sign: Sign) -> Bounds {
        Bounds { sign, ..self }
    }

    /// The window with every limit said.
    ///
    /// A single limit of what can be had either way round holds for its size: `at most 50 mA` is from -50 mA to 50 mA,
    /// `at least -50 V` from -50 V to 50 V. `at least 10 V` wants its sign as well.
    #[must_use]
    pub fn reach(&self) -> Bounds {
        let other_way = |limit: &Quantity| Quantity::new(limit.value.neg(), limit.dimension);
        let by_size = |limit: &Quantity| credible::is_by_size(limit.dimension, self.sign);
        match (self.low, self.high) {
            (None, Some(high)) if by_size(&high) && !high.value.is_negative() => {
                Bounds { low: Some(other_way(&high)), ..*self }
            }
            (Some(low), None) if by_size(&low) && low.value.is_negative() => {
                Bounds { high: Some(other_way(&low)), ..*self }
            }
            _ => *self,
        }
    }

    /// Whether over-range is inside: where open is good and nothing is too much.
    #[must_use]
    pub fn takes_open(&self) -> bool {
        self.open_ok && self.reach().high.is_none()
    }

    /// Whether no value can be inside or outside.
    #[must_use]
    pub const fn judges_nothing(&self) -> bool {
        self.record_only || (self.low.is_none() && self.high.is_none())
    }
}

/// The distance from the centre to a limit, in base units.
pub(super) fn width(centre: Quantity, within: Within) -> Result<Decimal, WindowError> {
    match within {
        Within::Absolute(width) if width.value.is_negative() => {
            Err(WindowError::NegativeWidth(width.to_string()))
        }
        Within::Absolute(width) => match centre.dimension.plus(width.dimension) {
            Some(sum) if sum == centre.dimension => Ok(width.value),
            _ => Err(WindowError::Dimensions { left: centre, right: width }),
        },
        Within::Percent(percent) if percent.is_negative() => {
            Err(WindowError::NegativeWidth(format!("{percent} %")))
        }
        Within::Percent(_) if centre.dimension == Dimension::CELSIUS => {
            Err(WindowError::PercentOfCelsius(centre))
        }
        Within::Percent(percent) => {
            let width = centre.value.abs().checked_mul(percent.shift(-2));
            width.ok_or(WindowError::TooManyDigits(centre))
        }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;

    fn quantity(text: &str) -> Quantity {
        Quantity::parse(text).unwrap()
    }

    fn percent(text: &str) -> Within {
        Within::Percent(Decimal::parse(text).unwrap())
    }

    fn limits(bounds: Bounds) -> (Quantity, Quantity) {
        (bounds.low.unwrap(), bounds.high.unwrap())
    }

    #[test]
    fn near_works_out_both_limits() {
        let near = |centre, within| limits(Bounds::near(quantity(centre), within).unwrap());
        assert_eq!(near("60 mA", percent("40")), (quantity("36 mA"), quantity("84 mA")));
        assert_eq!(near("-50 V", percent("10")), (quantity("-55 V"), quantity("-45 V")));
        assert_eq!(near("5 V", percent("0")), (quantity("5 V"), quantity("5 V")));
        let half_volt = Within::Absolute(quantity("500 mV"));
        assert_eq!(near("48 V", half_volt), (quantity("47.5 V"), quantity("48.5 V")));
        let five_kelvin = Within::Absolute(quantity("5 K"));
        assert_eq!(near("54 degC", five_kelvin), (quantity("49 degC"), quantity("59 degC")));
        let third = near("0.333333333333 V", percent("33.3333333333"));
        assert_eq!(third, (quantity("0.222222222222 V"), quantity("0.444444444444 V")));
    }

    #[test]
    fn near_expects_its_centre() {
        let bounds = Bounds::near(quantity("60 mA"), percent("40")).unwrap();
        assert_eq!(bounds.expected, Some(quantity("60 mA")));
    }

    #[test]
    fn limits_that_make_no_window_are_refused() {
        let message = |result: Result<Bounds, WindowError>| result.unwrap_err().to_string();
        let near = |centre, within| message(Bounds::near(quantity(centre), within));
        let between = |low, high| message(Bounds::between(quantity(low), quantity(high)));
        assert_eq!(
            between("2 V", "1 V"),
            "the low limit 2 V is above the high limit 1 V: swap them"
        );
        let mixed = "1 V and 2 A do not go together: one is voltage, the other current";
        assert_eq!(between("1 V", "2 A"), mixed);
        assert_eq!(near("1 V", Within::Absolute(quantity("2 A"))), mixed);
        let minus = near("1 V", percent("-5"));
        assert_eq!(minus, "the width -5 % is below zero: write it without a minus");
        let minus = near("1 V", Within::Absolute(quantity("-1 mV")));
        assert_eq!(minus, "the width -0.001 V is below zero: write it without a minus");
        let celsius = near("54 degC", percent("5"));
        assert_eq!(celsius, "a percentage of 54 degC has no meaning: give the width in K");
        let far = near("1e60 V", Within::Absolute(quantity("1e-60 V")));
        assert!(far.contains("differ too much in size"), "{far}");
        let point_as_width = Bounds::near(quantity("5 K"), Within::Absolute(quantity("5 degC")));
        assert!(matches!(point_as_width, Err(WindowError::Dimensions { .. })));
    }

    #[test]
    fn json_holds_what_is_set_and_nothing_else() {
        let near = Bounds::near(quantity("60 mA"), percent("40")).unwrap().with_open_ok(true);
        let json = r#"{"low":"0.036 A","high":"0.084 A","expected":"0.06 A","open_ok":true}"#;
        for (bounds, json) in [
            (near, json),
            (Bounds::record_only(), r#"{"record_only":true}"#),
            (Bounds::at_most(quantity("15 %")), r#"{"high":"0.15"}"#),
        ] {
            assert_eq!(serde_json::to_string(&bounds).unwrap(), json);
            assert_eq!(serde_json::from_str::<Bounds>(json).unwrap(), bounds);
        }
        assert!(serde_json::from_str::<Bounds>(r#"{"hihg":"0.15"}"#).is_err());
    }
}
