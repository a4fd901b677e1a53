//! A window in short words.

use super::bounds::Bounds;
use crate::quantity::{Quantity, Unit};

impl Bounds {
    /// Says what is accepted: `at most 15 %`, `36 mA to 84 mA, expected 60 mA`.
    ///
    /// Limits are shown with all their digits; `unit` picks the unit as in
    /// [`Quantity::engineering`].
    pub fn describe(&self, unit: Option<&Unit>) -> String {
        let show = |quantity: &Quantity| quantity.engineering_exact(unit);
        let mut words = match (&self.low, &self.high) {
            _ if self.judges_nothing() => "recorded, not judged".to_owned(),
            (Some(low), Some(high)) => format!("{} to {}", show(low), show(high)),
            (Some(low), None) => format!("{} or more", show(low)),
            (None, Some(high)) => format!("at most {}", show(high)),
            (None, None) => String::new(),
        };
        if let Some(expected) = &self.expected {
            words += &format!(", expected {}", show(expected));
        }
        if self.open_ok {
            words += ", open is good";
        }
        words
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;
    use crate::quantity::Decimal;
    use crate::window::Within;

    fn quantity(text: &str) -> Quantity {
        Quantity::parse(text).unwrap()
    }

    #[test]
    fn says_each_form_in_short_words() {
        let idle = Bounds::near(quantity("60 mA"), Within::Percent(Decimal::new(40, 0))).unwrap();
        let rails = Bounds::between(quantity("-0.5 V"), quantity("1.25 V")).unwrap();
        for (bounds, unit, words) in [
            (Bounds::at_most(quantity("15 %")), "%", "at most 15 %"),
            (
                Bounds::at_least(quantity("10 kohm")).with_open_ok(true),
                "ohm",
                "10 kohm or more, open is good",
            ),
            (idle, "A", "36 mA to 84 mA, expected 60 mA"),
            (rails, "V", "-500 mV to 1.25 V"),
            (Bounds::at_most(quantity("2")), "", "at most 2"),
            (Bounds::record_only(), "V", "recorded, not judged"),
            (
                Bounds::record_only().with_expected(quantity("5 V")),
                "V",
                "recorded, not judged, expected 5 V",
            ),
        ] {
            assert_eq!(bounds.describe(Some(&Unit::parse(unit).unwrap())), words);
        }
        assert_eq!(idle.describe(None), "36 mA to 84 mA, expected 60 mA");
    }
}
